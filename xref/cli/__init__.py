"""The command line: parse, one call into tasks, print."""
