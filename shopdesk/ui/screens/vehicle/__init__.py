"""One vehicle, part by part."""
