"""The one style sheet: buttons, fields, tables' frames and scroll bars. All values from tokens.

What the palette can say stands in the palette (`theme.py`); what is drawn stands in painters.
"""

from string import Template

from servicedesk.values.tokens import Tokens

_SHEET = Template("""
QToolTip { background: $ink; color: $sheet; border: 0; padding: 5px 8px; }

QPushButton, QToolButton#plain {
    min-height: ${control}px; padding: 0 ${pad}px; border-radius: ${r_control}px;
    background: $sheet; color: $ink; border: 1px solid $edge;
}
QPushButton:hover { background: $soft_water; }
QPushButton:pressed { background: $sunken; }
QPushButton:disabled { color: $ink3; background: $ground; border-color: $line; }
QPushButton[kind="main"] { background: $water; color: $on_water; border-color: $water; }
QPushButton[kind="main"]:hover { background: $water; border-color: $ink; }
QPushButton[kind="main"]:pressed { background: $ink2; color: $sheet; }
QPushButton[kind="main"]:disabled { background: $sunken; color: $ink3; border-color: $line; }
QPushButton[kind="danger"] { color: $clay; border-color: $clay; }
QPushButton[kind="bare"] { background: transparent; border-color: transparent; padding: 0 4px; }
QPushButton[kind="bare"]:hover { background: $sunken; }
QPushButton[kind="link"] {
    background: transparent; border-color: transparent; color: $water; padding: 0 4px;
    min-height: ${small}px; text-align: left;
}
QPushButton[kind="link"]:hover { text-decoration: underline; }
QPushButton[kind="link"]:disabled { color: $ink3; }
QPushButton[wide="true"] { text-align: left; }
QPushButton[size="small"] { min-height: ${small}px; padding: 0 10px; }
QPushButton[kind="pill"] { border-radius: ${pill}px; min-height: ${small}px; padding: 0 10px; }
QPushButton[kind="pill"]:checked { background: $soft_water; color: $water; border-color: $water; }

QLineEdit, QPlainTextEdit, QTextEdit, QComboBox, QSpinBox, QDateEdit, QTimeEdit {
    background: $sheet; color: $ink; border: 1px solid $edge; border-radius: ${r_control}px;
    padding: 0 ${field}px; min-height: ${control}px;
    selection-background-color: $water; selection-color: $on_water;
}
QPlainTextEdit, QTextEdit { padding: 6px ${field}px; }
QLineEdit:disabled, QComboBox:disabled, QPlainTextEdit:disabled {
    color: $ink3; background: $ground;
}
QLineEdit:read-only, QPlainTextEdit:read-only { background: $ground; }
QLineEdit[wrong="true"], QPlainTextEdit[wrong="true"], QComboBox[wrong="true"] {
    border: 1px solid $clay;
}
QLineEdit#large { border: 0; background: transparent; }
QComboBox::drop-down { border: 0; width: 24px; }
QComboBox::down-arrow { image: none; }
QSpinBox::up-button, QSpinBox::down-button, QDateEdit::up-button, QDateEdit::down-button,
QTimeEdit::up-button, QTimeEdit::down-button { width: 0; border: 0; }
QAbstractScrollArea::corner { background: transparent; border: 0; }
QComboBox QAbstractItemView {
    background: $sheet; color: $ink; border: 1px solid $edge;
    selection-background-color: $soft_water; selection-color: $ink;
}

QAbstractItemView { background: $sheet; border: 0; color: $ink; outline: 0; }
QAbstractItemView::item:selected { background: $soft_water; color: $ink; }
QHeaderView { background: $sheet; border: 0; }
QHeaderView::section {
    background: $sheet; color: $ink2; border: 0; border-bottom: 1px solid $edge;
    padding: 0 ${field}px; min-height: ${control}px;
}
QTableCornerButton::section { background: $sheet; border: 0; }

QScrollArea { background: transparent; border: 0; }
QScrollArea > QWidget > QWidget { background: transparent; }
QScrollBar:vertical { background: transparent; width: 12px; margin: 0; }
QScrollBar:horizontal { background: transparent; height: 12px; margin: 0; }
QScrollBar::handle { background: $edge; border-radius: 4px; margin: 2px; }
QScrollBar::handle:vertical { min-height: 32px; }
QScrollBar::handle:horizontal { min-width: 32px; }
QScrollBar::handle:hover { background: $ink3; }
QScrollBar::handle:disabled { background: transparent; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }

QMenu { background: $sheet; color: $ink; border: 1px solid $edge; padding: 4px; }
QMenu::item { padding: 5px 24px 5px 12px; border-radius: ${r_chip}px; }
QMenu::item:selected { background: $soft_water; color: $ink; }
QMenu::item:disabled { color: $ink3; }
QMenu::separator { height: 1px; background: $line; margin: 4px 8px; }

QProgressBar { background: $sunken; border: 0; border-radius: ${r_bar}px; color: $ink; }
QProgressBar::chunk { background: $water; border-radius: ${r_bar}px; }
QSplitter::handle { background: transparent; }
""")


def style_sheet(tokens: Tokens, scale: float) -> str:
    """The sheet for one theme, with heights for a text size of `scale` (1.0 is 100 %)."""
    height, radius = tokens.height, tokens.radius
    values = {name: getattr(tokens.colors, name) for name in tokens.colors.__slots__}
    values |= {f"soft_{name}": getattr(tokens.soft, name) for name in tokens.soft.__slots__}
    small = round((height.control_small - 2) * scale)
    values |= {
        "control": str(round((height.control - 2) * scale)),  # the border adds two
        "small": str(small),
        "pill": str(small // 2),
        "pad": str(round(tokens.space.grid * 3 * scale)),
        "field": str(round(tokens.space.grid * 2.5 * scale)),
        "r_control": str(radius.control),
        "r_chip": str(radius.chip),
        "r_bar": str(radius.bar),
    }
    return _SHEET.substitute(values)
