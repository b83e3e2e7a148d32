"""The bay: one step at a time, for gloves and poor light."""
