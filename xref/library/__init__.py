"""The part files: our YAML dialect, loading, checks, names, the compiled index."""
