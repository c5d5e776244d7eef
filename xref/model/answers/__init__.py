"""Answers as data: one module a command; the JSON documents are these classes written out."""
