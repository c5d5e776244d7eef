"""What things are: plain frozen dataclasses; no file, no screen, no formula."""
