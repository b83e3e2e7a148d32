"""The parts of the page on which a new work order is taken in."""
