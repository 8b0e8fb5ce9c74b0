"""Is it big enough? First-hour delivery for tanks, flow at the rise for tankless, with a verdict.

Both compare what the household asks for in its busiest hour or at its peak flow, on the day
with the coldest inlet water, with what the heater's rating becomes under the same conditions.
"""
