"""The parts that screens are made of. None of them knows a service."""
