"""The shelf: what is on hand, deliveries, and every item with its ledger."""
