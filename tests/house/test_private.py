"""Files are written by one way alone, which keeps them whole and their owner's."""

import ast
from pathlib import Path

import stainbook

PACKAGE = Path(stainbook.__file__).parent
WRITES = {"write_text", "write_bytes", "mkdir", "copyfile", "copytree", "copy2", "move", "replace_file"}
# what is put into a folder of our own for a moment, which nobody else may look into
FOR_A_MOMENT = {
    "work/app/demo.py",
    "work/case/typed_readings.py",
    "work/lab/bundle.py",
    "work/lab/exchange.py",
    "work/lab/exchange_desk.py",
    "work/lab/packed_check.py",
    "work/photo/photo_desk.py",
    "work/stains/stain_desk.py",
}


def writes_of(path: Path) -> list[str]:
    """Calls of a module that write a file or make a folder by themselves."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        modes = [one.value for one in node.args[1:2] if isinstance(one, ast.Constant)]
        opens = name == "open" and any(isinstance(mode, str) and set(mode) & set("wax") for mode in modes)
        if name in WRITES or opens:
            found.append(f"{name}, line {node.lineno}")
    return found


def test_all_files_are_written_by_one_way():
    found = {
        str(path.relative_to(PACKAGE)): writes
        for path in sorted(PACKAGE.rglob("*.py"))
        if (writes := writes_of(path)) and path.name != "private.py" and "_shipped" not in path.parts
    }
    # write_text of the text files is that way itself
    found = {name: [one for one in writes if not one.startswith("write_text")] for name, writes in found.items()}
    assert {name: writes for name, writes in found.items() if writes and name not in FOR_A_MOMENT} == {}
    assert FOR_A_MOMENT >= {name for name, writes in found.items() if writes}


def test_text_is_written_by_a_function_not_by_a_path():
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr == "write_text":
                name = str(path.relative_to(PACKAGE))
                assert name in FOR_A_MOMENT, f"{name}, line {node.lineno}"
