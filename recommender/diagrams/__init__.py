"""Drawings as SVG text, made of shapes of their own; texts are escaped and never markup."""
