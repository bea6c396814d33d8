"""Lists texts for people that do not go through `words`: there should be none.

Looks at what is handed to widgets, troubles, papers and the terminal. A text that is built
elsewhere and handed over by name is not seen; the sentences themselves are.
"""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[2] / "servicedesk"
ROOMS = ("window", "papers", "desk", "records", "exchange")
# names of calls whose texts a person reads
SINKS = {
    "setText", "setToolTip", "setWindowTitle", "setPlaceholderText", "setAccessibleName",
    "setAccessibleDescription", "setStatusTip", "addItem", "Words", "OneLine", "Button", "Sheet",
    "Chip", "LinkLabel", "QLabel", "QPushButton", "Trouble", "store_trouble", "SentenceField",
    "Choice", "Tick", "print", "Act", "drawString",
}  # fmt: skip
READ_BY_PEOPLE = {
    "text",
    "title",
    "hint",
    "tip",
    "what",
    "means",
    "do",
    "help",
    "description",
    "placeholder",
}


def is_text(node: ast.AST) -> bool:
    if isinstance(node, ast.JoinedStr):
        return any(is_text(part) for part in node.values)
    return (
        isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and any(c.isalpha() for c in node.value)
        and " " in node.value.strip()
    )


def bypassing(path: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        name = ast.unparse(node.func).rsplit(".", 1)[-1]
        if name not in SINKS:
            continue
        given = [*node.args, *(k.value for k in node.keywords if k.arg in READ_BY_PEOPLE)]
        found += [
            f"{path.relative_to(ROOT)}:{value.lineno} {ast.unparse(value)[:60]}"
            for value in given
            if is_text(value)
        ]
    return found


def test_no_text_goes_past_the_words():
    files = [p for room in ROOMS for p in (ROOT / room).rglob("*.py")] + [ROOT / "cli.py"]

    assert [line for path in files for line in bypassing(path)] == []


def test_the_search_sees_a_text_that_goes_past(tmp_path, monkeypatch):
    slip = tmp_path / "slip.py"
    slip.write_text('label.setText("Nothing is owed")\nlabel.setText(f"{n} stops today")\n')
    monkeypatch.setattr("tests.words.test_bypass.ROOT", tmp_path)

    assert len(bypassing(slip)) == 2
