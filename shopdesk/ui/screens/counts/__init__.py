"""Counting the shelf."""
