"""The version, read by the build and by --version without importing anything else."""

__version__ = "0.1.0"
