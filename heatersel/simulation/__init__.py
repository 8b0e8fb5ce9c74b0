"""What does a year take, and who gets a cold shower?

Draw by draw through compiled models of tanks and tankless heaters, with the heat pump's cycle and
the room it stands in; beside it the closed form of one heat balance per day as independent check.
"""
