"""What comes from outside is shown as it was written, in each label, question and tip of the window."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import Qt as GuiQt
from PySide6.QtWidgets import QApplication, QLabel

from gearplan.window.kit.plaintext import PlainLabel, plain

_WINDOW = Path(__file__).parents[3] / "gearplan" / "window"
#: Where the text stands among what is given to a call.
_TEXTS = {
    "setToolTip": 0,
    "showText": 1,
    "setInformativeText": 0,
    "setDetailedText": 0,
    "QMessageBox": 2,
    "question": 2,
    "warning": 2,
    "information": 2,
    "critical": 2,
    "QProgressDialog": 0,
    "setLabelText": 0,
    "getItem": 2,
    "getText": 2,
}
#: It draws links, and escapes what stands beside them.
_WITH_LINKS = "nextmeasurements.py"


def _is_safe(value: ast.expr) -> bool:
    """Whether a text is a constant, an escaped one, or goes through `plain`; what is no text at all is none."""
    match value:
        case ast.Constant():
            return True
        case ast.IfExp():
            return _is_safe(value.body) and _is_safe(value.orelse)
        case ast.BoolOp():
            return all(map(_is_safe, value.values))
        case ast.Call():
            called = ast.unparse(value.func)
            if called in ("tr", "trn"):
                # The text is one of the program's own, as its catalogues are; what fills it need not be.
                return all(_is_safe(filled.value) for filled in value.keywords)
            return called in ("plain", "html.escape")
        case ast.JoinedStr():
            return all(
                isinstance(part, ast.Constant) or _is_safe(getattr(part, "value", part)) for part in value.values
            )
    return False


def _open_to_html(source: str, name: str) -> Iterator[str]:
    """Each place of a module where a text could be taken as HTML."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            called = ast.unparse(node.func).rpartition(".")[2]
            if called == "QLabel":
                yield f"{name}:{node.lineno} a QLabel"
            at = _TEXTS.get(called)
            if at is not None and len(node.args) > at and not _is_safe(node.args[at]):
                yield f"{name}:{node.lineno} {called}({ast.unparse(node.args[at])[:60]})"
        elif isinstance(node, ast.ClassDef) and name != _WITH_LINKS:
            if any(ast.unparse(base) == "QLabel" for base in node.bases):
                yield f"{name}:{node.lineno} class {node.name}"
        elif (isinstance(node, ast.If) and "ToolTipRole" in ast.unparse(node.test)) or (
            isinstance(node, ast.match_case) and "ToolTipRole" in ast.unparse(node.pattern)
        ):
            for inner in (inner for step in node.body for inner in ast.walk(step)):
                if isinstance(inner, ast.Return) and inner.value is not None and not _is_safe(inner.value):
                    yield f"{name}:{inner.lineno} tip {ast.unparse(inner.value)[:60]}"


def test_no_text_of_the_window_is_open_to_html() -> None:
    found = [
        told
        for path in sorted(_WINDOW.rglob("*.py"))
        if path.name != "plaintext.py"
        for told in _open_to_html(path.read_text(encoding="utf-8"), path.name)
    ]
    assert found == []


@pytest.mark.parametrize(
    "source",
    [
        "QLabel(name)",
        "label.setToolTip(tr('of {name}', name=name))",
        "QtWidgets.QLabel('x')",
        "class A(QLabel): pass",
        "w.setToolTip(name)",
        "w.setToolTip(f'of {name}')",
        "QMessageBox.question(self, 'title', name)",
        "QMessageBox(icon, 'title', f'{name} is there')",
        "QProgressDialog(name, 'x', 0, 0)",
        "def f():\n  if role == Qt.ItemDataRole.ToolTipRole:\n    return name",
        "def f():\n  match role:\n    case Qt.ItemDataRole.ToolTipRole:\n      return name or None",
    ],
)
def test_the_rule_sees_each_way(source: str) -> None:
    assert list(_open_to_html(source, "a.py"))


def test_a_text_stays_as_it_was_written(qapp: QApplication) -> None:
    bold = "<b>Ada's</b> & <img src='x.png'>\n5 < 6"
    assert PlainLabel(bold).textFormat() == Qt.TextFormat.PlainText
    assert GuiQt.mightBeRichText(bold)
    assert plain(bold) == "<qt>&lt;b&gt;Ada&#x27;s&lt;/b&gt; &amp; &lt;img src=&#x27;x.png&#x27;&gt;<br>5 &lt; 6</qt>"
    assert plain("Save the changes to Ada's & Bo's < 6 first?") == "Save the changes to Ada's & Bo's < 6 first?"
    # A label of Qt's own would have drawn it.
    assert QLabel(bold).textFormat() == Qt.TextFormat.AutoText
