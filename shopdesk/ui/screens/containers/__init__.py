"""Physical containers: opened, put aside, measured up, poured over, labelled."""
