"""Which heaters are there, what do their ratings say, and which of them may still be made?

A heater is one frozen row of a list; its rating is turned into tank loss and conversion.
"""
