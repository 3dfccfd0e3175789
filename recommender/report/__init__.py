"""Typed results as plain text of at most 80 columns, and as files; nothing here prints."""
