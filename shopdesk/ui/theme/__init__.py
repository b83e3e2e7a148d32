"""How the program looks: tokens, palette, style sheet, type and icons."""
