"""An invented shop with two years of work, made by the services themselves.

Shop, town, people, vehicles, fluids and unit sheets are invented; no figure here is any maker's.
"""
