"""How much hot water this household needs, when, and how cold the water is that must be heated.

Inlet temperature by day (`inlet`, `soil`), daily volumes by use (`uses`), the busiest hour
(`peak_hour`), the flow of fixtures that run together (`peak_flow`), seeded years of single draws
(`draw_year`) and what the household's own bills say (`bills`). Hot volumes are at the setpoint,
mixed volumes are what leaves the fixture.
"""
