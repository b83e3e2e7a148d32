"""The few style sheet rules, made from the tokens. What they do not say, the palette and Fusion do."""

from shopdesk.ui.theme import tokens as t
from shopdesk.ui.theme.tokens import TextRole, Tokens


def style_sheet(look: Tokens, percent: int) -> str:
    """Return the application's style sheet for one look at ``percent`` of the usual text size."""
    return "\n".join(
        (
            _text(look, percent),
            _surfaces(look),
            _fields(look, percent),
            _buttons(look, percent),
            _lists(look, percent),
        )
    )


def pixels(length: float, percent: int) -> int:
    """Return a length given at 100 % in whole pixels at ``percent``."""
    return round(length * percent / 100)


def _text(look: Tokens, percent: int) -> str:
    rules = [f"QLabel {{ background: transparent; color: {look.ink}; }}"]
    for role, points in t.POINTS.items():
        weight = 600 if role in t.STRONG else 400
        rules.append(
            f'QLabel[role="{role}"] {{ font-size: {points * percent / 100:g}pt; font-weight: {weight}; }}'
        )
    for tone in ("ink2", "accent", "ok", "soon", "late", "rail_ink"):
        rules.append(f'QLabel[tone="{tone}"] {{ color: {getattr(look, tone)}; }}')
    rules.append('QLabel[strong="true"] { font-weight: 600; }')
    small = t.POINTS[TextRole.HELP] * percent / 100
    rules.append(
        f"QToolTip {{ background: {look.ink}; color: {look.surface}; border: none;"
        f" padding: 4px 6px; font-size: {small:g}pt; }}"
    )
    return "\n".join(rules)


def _surfaces(look: Tokens) -> str:
    return f"""
QFrame[part="card"] {{ background: {look.surface}; border: 1px solid {look.line};
    border-radius: {t.RADIUS_CARD}px; }}
QFrame[part="floating"] {{ background: {look.surface}; border: 1px solid {look.edge};
    border-radius: {t.RADIUS_CARD}px; }}
QFrame[part="notice"] {{ background: {look.sunken}; border: 1px solid {look.edge};
    border-radius: {t.RADIUS}px; }}
QFrame[part="notice"][tone="late"] {{ background: {look.late_soft}; border-color: {look.late}; }}
QFrame[part="rule"] {{ background: {look.line}; border: none; }}
QFrame[part="rail"] {{ background: {look.rail}; border: none; }}
QScrollArea, QScrollArea > QWidget > QWidget[part="page"] {{ background: transparent; border: none; }}
"""


def _fields(look: Tokens, percent: int) -> str:
    kinds = ("QLineEdit", "QPlainTextEdit", "QComboBox")

    def every(suffix: str) -> str:
        return ", ".join(kind + suffix for kind in kinds)

    height = pixels(t.CONTROL_HEIGHT, percent) - 2
    value = t.POINTS[TextRole.VALUE] * percent / 100
    return f"""
{every("")} {{ background: {look.surface}; color: {look.ink}; border: 1px solid {look.edge};
    border-radius: {t.RADIUS}px; padding: 0 9px; selection-background-color: {look.accent};
    selection-color: {look.accent_on}; }}
QLineEdit, QComboBox {{ min-height: {height}px; max-height: {height}px; }}
QPlainTextEdit {{ padding: 5px 6px; }}
{every(":focus")} {{ border: {t.FOCUS_RING}px solid {look.accent}; padding: 0 8px; }}
QPlainTextEdit:focus {{ padding: 4px 5px; }}
{every('[wrong="true"]')} {{ border: {t.FOCUS_RING}px solid {look.late}; padding: 0 8px; }}
QLineEdit:focus, QComboBox:focus, QLineEdit[wrong="true"], QComboBox[wrong="true"] {{
    min-height: {height - 2}px; max-height: {height - 2}px; }}
{every(":disabled")} {{ background: {look.sunken}; color: {look.ink2}; border-color: {look.line}; }}
{every(":read-only")} {{ background: {look.sunken}; }}
QComboBox:!editable {{ background: {look.surface}; }}
QLineEdit[part="value"] {{ font-size: {value:g}pt; font-weight: 600; }}
QLineEdit[part="bay"], QComboBox[part="bay"] {{ min-height: {pixels(t.BAY_TARGET, percent) - 2}px;
    max-height: {pixels(t.BAY_TARGET, percent) - 2}px; font-size: {value * 1.3:g}pt; font-weight: 600; }}
QComboBox::drop-down {{ border: none; width: {pixels(26, percent)}px; }}
QComboBox::down-arrow {{ image: none; }}
QComboBox QAbstractItemView {{ background: {look.surface}; color: {look.ink}; border: 1px solid {look.edge};
    selection-background-color: {look.accent_soft}; selection-color: {look.ink}; }}
"""


def _buttons(look: Tokens, percent: int) -> str:
    height = pixels(t.CONTROL_HEIGHT, percent) - 2
    return f"""
QPushButton {{ background: {look.surface}; color: {look.ink}; border: 1px solid {look.edge};
    border-radius: {t.RADIUS}px; padding: 0 {pixels(13, percent)}px; min-height: {height}px; outline: none; }}
QPushButton:hover {{ background: {look.accent_soft}; }}
QPushButton:pressed {{ background: {look.sunken}; }}
QPushButton:focus {{ border: {t.FOCUS_RING}px solid {look.accent}; padding: 0 {pixels(13, percent) - 1}px;
    min-height: {height - 2}px; }}
QPushButton:checked {{ background: {look.accent_soft}; border: {t.FOCUS_RING}px solid {look.accent};
    padding: 0 {pixels(13, percent) - 1}px; min-height: {height - 2}px; font-weight: 600; }}
QPushButton:disabled {{ color: {look.ink2}; background: {look.sunken}; border-color: {look.line}; }}
QPushButton[part="primary"] {{ background: {look.accent}; color: {look.accent_on};
    border-color: {look.accent}; font-weight: 600; }}
QPushButton[part="primary"]:disabled {{ background: {look.sunken}; color: {look.ink2};
    border-color: {look.line}; }}
QPushButton[part="quiet"] {{ background: transparent; border-color: transparent; color: {look.accent};
    padding: 0 {pixels(8, percent)}px; }}
QPushButton[part="quiet"]:hover {{ background: {look.accent_soft}; }}
QPushButton[part="quiet"]:focus {{ border: {t.FOCUS_RING}px solid {look.accent};
    padding: 0 {pixels(8, percent) - 1}px; }}
QPushButton[part="bay"] {{ min-height: {pixels(t.BAY_TARGET, percent) - 2}px;
    font-size: {t.POINTS[TextRole.VALUE] * percent / 100:g}pt; font-weight: 600; }}
QPushButton[part="bay"][main="true"] {{ background: {look.accent}; color: {look.accent_on};
    border-color: {look.accent}; }}
QPushButton[part="bay"]:focus, QPushButton[part="bay"]:checked {{
    min-height: {pixels(t.BAY_TARGET, percent) - 4}px; }}
"""


def _lists(look: Tokens, percent: int) -> str:
    width = pixels(10, percent)
    return f"""
QTableView {{ background: transparent; color: {look.ink}; border: 1px solid transparent;
    border-radius: {t.RADIUS_SMALL}px; outline: none; selection-background-color: transparent; }}
QTableView:focus {{ border-color: {look.accent}; }}
QHeaderView {{ background: transparent; border: none; }}
QHeaderView::section {{ background: transparent; color: {look.ink2}; border: none;
    border-bottom: 1px solid {look.edge}; padding: {pixels(4, percent)}px {pixels(10, percent)}px; }}
QScrollBar:vertical {{ background: transparent; width: {width}px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: {width}px; margin: 0; }}
QScrollBar::handle {{ background: {look.edge}; border-radius: {width // 2 - 1}px; margin: 1px; }}
QScrollBar::handle:vertical {{ min-height: {pixels(28, percent)}px; }}
QScrollBar::handle:horizontal {{ min-width: {pixels(28, percent)}px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
"""
