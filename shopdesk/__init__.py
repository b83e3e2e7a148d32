"""shopdesk: drivetrain fluid services for an independent shop, from the first call to the next visit."""

__version__ = "0.1.0"
