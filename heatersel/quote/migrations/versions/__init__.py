"""One file per step, named by its number."""
