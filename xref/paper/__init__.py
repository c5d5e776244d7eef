"""The job sheet: text and drawing to PDF and HTML."""
