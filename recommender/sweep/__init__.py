"""Many seasons at once: work mixes, sizes and prices drawn around those of a plan, and what a kit makes of them."""
