"""One module a page, each with ``show()``; a page lays out and words, and computes nothing."""
