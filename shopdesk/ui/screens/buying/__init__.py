"""Buying: what to order, one order with what came of it."""
