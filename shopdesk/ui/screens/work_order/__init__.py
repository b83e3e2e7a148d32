"""One work order: its head, its service, its price, its papers."""
