"""The terminal face: turns results into text that reads at 80 columns, without colour, and piped.

Nothing here computes; numbers come from the public API and are formatted by heatersel.display.
"""
