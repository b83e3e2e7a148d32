"""Set-up: the shop and everything it works with, section by section; and one unit sheet."""
