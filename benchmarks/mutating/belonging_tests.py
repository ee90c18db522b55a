"""Which tests belong to a file: those that import it, by its name or by what it gives."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# They play the whole program and take minutes; give them with --tests where nothing else helps.
WHOLE_PROGRAM = ("test_demo.py", "test_house.py", "test_never_500.py", "test_simulated_program.py")


def module_name(file: Path) -> str:
    parts = file.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def which_tests(file: Path) -> list[Path]:
    """Test files that import the module or one of its names, or that are named like it."""
    module = module_name(file)
    names = {
        one.name
        for one in ast.parse(file.read_text("utf-8")).body
        if isinstance(one, (ast.FunctionDef, ast.ClassDef)) and not one.name.startswith("_")
    }
    room = "|".join(re.escape(part) for part in {module.split(".")[0], module.rpartition(".")[0]})
    found = []
    for test in sorted((ROOT / "tests").rglob("test_*.py")):
        if test.name in WHOLE_PROGRAM:
            continue
        imported = set(_imports(test))
        through = {name for name in names for of, one in imported if one == name
                   and re.match(rf"({room})(\.|$)", of)}  # fmt: skip
        named_like_it = test.stem in (f"test_{file.stem}", f"test_{file.stem}s")
        if (
            named_like_it
            or through
            or module in {of for of, _ in imported} | {f"{of}.{one}" for of, one in imported}
        ):
            found.append(test)
    return found


def _imports(test: Path) -> Iterator[tuple[str, str]]:
    for node in ast.walk(ast.parse(test.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom):
            yield from ((node.module or "", one.name) for one in node.names)
        elif isinstance(node, ast.Import):
            yield from ((one.name, "") for one in node.names)
