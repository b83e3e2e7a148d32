"""Text and numbers for screens, made without Qt."""
