"""Forms that more than one page shows: a customer, a vehicle, how a vehicle is driven."""
