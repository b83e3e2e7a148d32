"""The tokens as Qt's palette, so that what Qt draws itself fits."""

from PySide6.QtGui import QColor, QPalette

from shopdesk.ui.theme.tokens import Tokens


def palette_of(tokens: Tokens) -> QPalette:
    """Return the palette of one look, with its faded form for what is switched off."""
    role = QPalette.ColorRole
    colours = {
        role.Window: tokens.window,
        role.WindowText: tokens.ink,
        role.Base: tokens.surface,
        role.AlternateBase: tokens.sunken,
        role.Text: tokens.ink,
        role.PlaceholderText: tokens.ink2,
        role.Button: tokens.surface,
        role.ButtonText: tokens.ink,
        role.BrightText: tokens.late,
        role.ToolTipBase: tokens.ink,
        role.ToolTipText: tokens.surface,
        role.Highlight: tokens.accent,
        role.HighlightedText: tokens.accent_on,
        role.Link: tokens.accent,
        role.LinkVisited: tokens.accent,
        role.Light: tokens.surface,
        role.Midlight: tokens.sunken,
        role.Mid: tokens.line,
        role.Dark: tokens.edge,
        role.Shadow: tokens.edge,
        role.Accent: tokens.accent,
    }
    palette = QPalette()
    for name, colour in colours.items():
        palette.setColor(name, QColor(colour))
    for name in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, name, QColor(tokens.ink2))
    return palette
