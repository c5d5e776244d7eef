"""Site and job files, records, saved sessions, and where they lie."""
