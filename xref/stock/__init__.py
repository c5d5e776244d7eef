"""Salvaged boards and what is left on them."""
