"""Layout to coordinates; text and SVG only draw coordinates."""
