"""What nature does: SI numbers in, SI numbers out; knows no YAML, no part, no screen."""
