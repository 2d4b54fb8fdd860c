"""How many small faults, put into the code at random places, do the tests notice?

    python tests/benchmarks/mutants.py [--seed 1] [--count 60] [--jobs 1] [--only planning reading ...] [--quick]

A mutant is one change in the syntax tree of one module: a comparison flipped, + and - or * and / swapped, a number
changed, a condition negated, a `not` dropped, a return of nothing or of the first argument, two arguments swapped.
Packages take turns, within a package the kinds of change do, and the place is drawn from the seed. The change is
made in a copy of the checkout in a temporary folder, never in the checkout. The tests nearest to the package run
first and, where they notice nothing, all the others; a run that takes too long counts as noticed.

The copy is written anew from its syntax trees, so comments are gone from it; before any mutant all tests run on
it once, since a copy that fails by itself would count every mutant as noticed (--skip-check leaves that out).
--quick runs the nearest tests only: its survivors are candidates, no more.

tests/test_packaging.py is left out: it installs from a package index and would say nothing about a mutant that
the others don't. Ends with code 1 where less than nine in ten of the others than the equivalent ones are noticed.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from queue import SimpleQueue

ROOT = Path(__file__).parents[2]
AIM = 0.9
OUTSIDE = ("importers", "migrations", "seed_data")  # folders that install as partsdb.<name>
LEFT_OUT = ("tests/test_packaging.py", *(f"partsdb/{name}" for name in OUTSIDE))
_CORE = ("tests/test_*.py", "tests/laws", "partsdb/*.py")
NEAREST: Mapping[str, tuple[str, ...]] = {
    "cli": ("tests/cli",),
    "core": _CORE,
    "equivalence": (
        "tests/equivalence",
        "tests/laws/test_equivalence_laws.py",
        "partsdb/equivalence",
        "tests/families",
    ),
    "families": ("tests/families", "tests/published", "partsdb/families"),
    "kit": ("tests/kit", "tests/laws/test_silence_laws.py", "tests/equivalence", "partsdb/kit"),
    "importers": ("tests/importers", "tests/laws/test_list_laws.py", "tests/cli/test_importing.py"),
    "model": _CORE,
    "outputs": ("tests/outputs", "partsdb/outputs", "tests/cli/test_commands.py", "tests/test_demo.py"),
    "physics": ("partsdb/physics", "tests/published", "tests/families"),
    "planning": (
        "tests/planning",
        "tests/published/test_planning_published.py",
        "partsdb/planning",
        "tests/laws/test_planning_laws.py",
    ),
    "reading": ("tests/reading", "partsdb/reading", "tests/laws/test_reading_laws.py"),
    "services": ("tests/services", "tests/cli"),
    "store": ("tests/store", "tests/laws/test_store_laws.py", "tests/cli/test_safekeeping.py"),
    "tables": _CORE,
}

# (file, function, kind, what stood there before, why no test can notice): judged by hand, one by one
EQUIVALENT: tuple[tuple[str, str, str, str, str], ...] = (
    (
        "partsdb/planning/solve.py",
        "_passing",
        "sign swapped",
        "target - WHOLE",
        "moves the target by 2e-9; where that matters the listing of all plans tests them against the old one",
    ),
    (
        "partsdb/reading/numerals.py",
        "spellings",
        "number changed",
        "1e-12",
        "room for rounding about nought: no value on a plate is as small as either",
    ),
    (
        "partsdb/store/exporting.py",
        "_digest",
        "number changed",
        "1",
        "the size of the pieces that a file is read in: its digest is the same",
    ),
    (
        "partsdb/planning/simulate.py",
        "simulate",
        "number changed",
        "1e-06",
        "room for rounding, in minutes: working time is counted in whole ones",
    ),
)

FLIPPED: Mapping[type[ast.AST], type[ast.cmpop]] = {
    ast.Lt: ast.GtE,
    ast.GtE: ast.Lt,
    ast.Gt: ast.LtE,
    ast.LtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
SWAPPED: Mapping[type[ast.AST], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
}


@dataclass(frozen=True)
class Mutant:
    """One change. function: "" at the top of the module; place: number of its node in the walk of the module's
    tree; variant: which of several changes of that node."""

    package: str
    file: str
    function: str
    line: int
    kind: str
    place: int
    variant: int
    before: str
    after: str

    @property
    def why_equivalent(self) -> str:
        """Why it can't be noticed; empty when it can."""
        this = (self.file, self.function, self.kind, self.before)
        return next((why for *those, why in EQUIVALENT if tuple(those) == this), "")


@dataclass(frozen=True)
class Tried:
    """A mutant and how it was noticed: "nearest", "others", "too long", or "" when it was not."""

    mutant: Mutant
    noticed: str
    seconds: float


# --------------------------------------------------------------------------- changes


def _nodes(tree: ast.Module) -> list[tuple[ast.AST, ast.FunctionDef | None]]:
    """Every node with the function it stands in, in one fixed order; annotations and docstrings left out."""
    found: list[tuple[ast.AST, ast.FunctionDef | None]] = []

    def walk(node: ast.AST, inside: ast.FunctionDef | None) -> None:
        found.append((node, inside))
        inside = node if isinstance(node, ast.FunctionDef) else inside
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list"):
                continue
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST):
                    walk(child, inside)

    walk(tree, None)
    return found


def _variants(node: ast.AST, inside: ast.FunctionDef | None) -> Iterator[tuple[str, Callable[[], None]]]:
    """(kind, the change, made in place) for each way to change a node."""
    match node:
        case ast.Compare(ops=[op, *more]) if type(op) in FLIPPED:
            yield "comparison flipped", partial(setattr, node, "ops", [FLIPPED[type(op)](), *more])
        case ast.BinOp(op=sign) | ast.AugAssign(op=sign) if type(sign) in SWAPPED and not _is_text(node):
            yield "sign swapped", partial(setattr, node, "op", SWAPPED[type(sign)]())
        case ast.Constant(value=bool()):
            return
        case ast.Constant(value=int() | float() as value):
            for new in _other_numbers(value):
                yield "number changed", partial(setattr, node, "value", new)
        case ast.If(test=test) | ast.While(test=test) | ast.IfExp(test=test):
            yield "condition negated", partial(setattr, node, "test", ast.UnaryOp(ast.Not(), test))
        case ast.UnaryOp(op=ast.Not(), operand=operand):  # "not not" is the truth of it
            yield "not dropped", partial(setattr, node, "operand", ast.UnaryOp(ast.Not(), operand))
        case ast.Return(value=ast.expr()):
            others: list[ast.expr] = [ast.Constant(None), *_first_argument(inside)]
            for other in others:
                yield "return changed", partial(setattr, node, "value", other)
        case ast.Call(args=[ast.expr() as one, ast.expr() as two, *rest]) if _may_swap(node, one, two):
            yield "arguments swapped", partial(setattr, node, "args", [two, one, *rest])


def _other_numbers(value: int | float) -> tuple[int | float, ...]:
    """What a number is changed to: by a factor; nought to one, whole or not as it was."""
    if not value:
        return (value + 1,)
    return (2 * value, value / 2) if isinstance(value, float) else (2 * value,)


def _is_text(node: ast.BinOp | ast.AugAssign) -> bool:
    """Whether text or a list is joined there: a minus would only raise."""
    sides = (node.left, node.right) if isinstance(node, ast.BinOp) else (node.value,)
    return any(
        isinstance(side, ast.JoinedStr | ast.List | ast.Tuple | ast.ListComp)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )


def _first_argument(function: ast.FunctionDef | None) -> Sequence[ast.expr]:
    names = [argument.arg for argument in function.args.args] if function else []
    return [ast.Name(name) for name in names if name not in ("self", "cls")][:1]


def _may_swap(call: ast.Call, one: ast.expr, two: ast.expr) -> bool:
    """Whether the call takes its two arguments the other way round too without raising at once."""
    starred = isinstance(one, ast.Starred) or isinstance(two, ast.Starred)
    return not starred and ast.unparse(call.func) != "isinstance"


def mutants_of(package: str, file: str, source: str) -> list[Mutant]:
    """Every mutant of a module."""
    found = []
    for place, (node, inside) in enumerate(_nodes(ast.parse(source))):
        for variant, (kind, _) in enumerate(_variants(node, inside)):
            changed = copy.deepcopy(node)
            list(_variants(changed, inside))[variant][1]()
            before, after = _shown(node), _shown(changed)
            if before != after and isinstance(node, ast.expr | ast.stmt):
                name = inside.name if inside else ""
                found.append(Mutant(package, file, name, node.lineno, kind, place, variant, before, after))
    return found


def _shown(node: ast.AST) -> str:
    """The node as text; of a block only its head."""
    return ast.unparse(node).splitlines()[0]


def mutated(mutant: Mutant, source: str) -> str:
    """The module's text with the mutant's change."""
    tree = ast.parse(source)
    node, inside = _nodes(tree)[mutant.place]
    list(_variants(node, inside))[mutant.variant][1]()
    return ast.unparse(ast.fix_missing_locations(tree))


# --------------------------------------------------------------------------- choice


def package_of(file: str) -> str:
    """The package a module belongs to; "core" for those that stand alone."""
    parts = Path(file).parts
    if parts[0] != "partsdb":
        return parts[0]
    return parts[1] if len(parts) > 2 else "core"


def modules(root: Path) -> list[str]:
    """Every module that may be changed, by its path in the checkout."""
    found = [*root.glob("partsdb/**/*.py"), *root.glob("importers/*.py")]
    inside = {f"partsdb/{name}" for name in OUTSIDE}
    names = (path.relative_to(root).as_posix() for path in found)
    return sorted(name for name in names if not any(name.startswith(f"{folder}/") for folder in inside))


def chosen(root: Path, seed: int, count: int, only: Sequence[str]) -> list[Mutant]:
    """`count` different mutants: packages in turn, then kinds in turn, then a place by chance."""
    rng = random.Random(seed)
    pools: dict[str, dict[str, list[Mutant]]] = {}
    for file in modules(root):
        for mutant in mutants_of(package_of(file), file, (root / file).read_text(encoding="utf-8")):
            pools.setdefault(mutant.package, {}).setdefault(mutant.kind, []).append(mutant)
    unknown = [name for name in only if name not in pools]
    if unknown:
        raise SystemExit(f"no such package: {', '.join(unknown)}. There are: {', '.join(sorted(pools))}")
    packages = [name for name in sorted(pools) if name in only or not only]
    rng.shuffle(packages)
    turns: dict[str, list[str]] = {name: [] for name in packages}
    found: list[Mutant] = []
    while len(found) < count and any(pools[name] for name in packages):
        for package in packages:
            left = pools[package]
            if not left or len(found) == count:
                continue
            turns[package] = [k for k in turns[package] if k in left] or rng.sample(sorted(left), len(left))
            kind = turns[package].pop()
            found.append(left[kind].pop(rng.randrange(len(left[kind]))))
            if not left[kind]:
                del left[kind]
    return found


# --------------------------------------------------------------------------- trial


def copy_of(root: Path, folder: Path) -> Path:
    """A copy of the checkout that imports nothing of it, its modules written anew from their syntax trees."""
    hidden = shutil.ignore_patterns(".*", "__pycache__", "*.egg-info", "build", "dist")
    made = Path(shutil.copytree(root, folder, ignore=hidden))
    for name in OUTSIDE:  # where an installed package has them; else they would come from the checkout
        (made / "partsdb" / name).symlink_to(Path("..") / name)
    for file in modules(made):
        path = made / file
        path.write_text(ast.unparse(ast.parse(path.read_text(encoding="utf-8"))) + "\n", encoding="utf-8")
    return made


def tested(tree: Path, paths: Sequence[str], without: Sequence[str], seconds: float) -> str:
    """How the tests at these paths end in that tree: "passed", "failed" or "too long"."""
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-x",
        "-p",
        "no:cacheprovider",
        "--hypothesis-seed=0",
        *paths,
    ]
    command += [f"--ignore={path}" for path in (*LEFT_OUT, *without)]
    environment = {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}
    with subprocess.Popen(
        command,
        cwd=tree,
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    ) as running:
        try:
            code = running.wait(seconds)
        except subprocess.TimeoutExpired:
            os.killpg(running.pid, signal.SIGKILL)  # the tests' own children too
            return "too long"
    if code == 5:
        raise SystemExit(f"there are no tests at {' '.join(paths)}")
    return "failed" if code else "passed"


def nearest(tree: Path, package: str) -> list[str]:
    """The paths of the tests most likely to notice a fault in a package."""
    patterns = NEAREST.get(package, ("tests",))
    found = [path.relative_to(tree).as_posix() for pattern in patterns for path in sorted(tree.glob(pattern))]
    return [path for path in found if path not in LEFT_OUT]


def tried(mutant: Mutant, tree: Path, seconds: float, *, quick: bool) -> Tried:
    """The mutant put into the tree, tested, and taken out again."""
    begun = time.monotonic()
    path = tree / mutant.file
    source = path.read_text(encoding="utf-8")
    original = (ROOT / mutant.file).read_text(encoding="utf-8")
    path.write_text(mutated(mutant, original) + "\n", encoding="utf-8")
    try:
        first = nearest(tree, mutant.package)
        noticed = {"failed": "nearest"}.get(ended := tested(tree, first, (), seconds), ended)
        if noticed == "passed" and not quick:
            noticed = {"failed": "others"}.get(
                ended := tested(tree, ["tests", "partsdb"], first, seconds), ended
            )
    finally:
        path.write_text(source, encoding="utf-8")
    return Tried(mutant, "" if noticed == "passed" else noticed, time.monotonic() - begun)


def all_tried(mutants: Sequence[Mutant], folder: Path, arguments: argparse.Namespace) -> list[Tried]:
    """Every mutant tried, in `--jobs` copies at once; each is told as it ends."""
    free: SimpleQueue[Path] = SimpleQueue()
    for number in range(arguments.jobs):
        free.put(copy_of(ROOT, folder / str(number)))
    if not arguments.skip_check:
        tree = free.get()
        if tested(tree, ["tests", "partsdb"], (), arguments.seconds) != "passed":
            raise SystemExit("the copy without any mutant doesn't pass its tests: nothing can be measured")
        free.put(tree)

    def one(mutant: Mutant) -> Tried:
        tree = free.get()
        try:
            found = tried(mutant, tree, arguments.seconds, quick=arguments.quick)
        finally:
            free.put(tree)
        print(f"{found.noticed or 'SURVIVED':9}{found.seconds:6.0f} s  {told(mutant)}", flush=True)
        return found

    with ThreadPoolExecutor(arguments.jobs) as pool:
        return list(pool.map(one, mutants))


# --------------------------------------------------------------------------- report


def told(mutant: Mutant) -> str:
    """The mutant in one line."""
    before, after = (
        text if len(text) <= 160 else f"{text[:157]}..." for text in (mutant.before, mutant.after)
    )
    return f"{mutant.file}:{mutant.line}  {mutant.kind}: {before}  ->  {after}"


def reported(found: Sequence[Tried]) -> float:
    """Prints the survivors and the shares; returns the share noticed of those that can be."""
    survivors = [one.mutant for one in found if not one.noticed]
    print("\nnot noticed" if survivors else "\nall were noticed")
    for mutant in survivors:
        print(
            f"  {told(mutant)}"
            + (f"\n      equivalent: {mutant.why_equivalent}" if mutant.why_equivalent else "")
        )
    counted = [one for one in found if one.noticed or not one.mutant.why_equivalent]
    print(f"\n{'package':14}{'noticed':>8}{'of':>5}")
    for package in sorted({one.mutant.package for one in counted}):
        own = [one for one in counted if one.mutant.package == package]
        print(f"{package:14}{sum(bool(one.noticed) for one in own):8}{len(own):5}")
    share = sum(bool(one.noticed) for one in counted) / len(counted) if counted else 0.0
    print(
        f"{'all':14}{sum(bool(one.noticed) for one in counted):8}{len(counted):5}  {share:.0%} (aim {AIM:.0%})"
    )
    return share


def main() -> None:
    """Reads the arguments, tries the mutants, reports."""
    parser = argparse.ArgumentParser(description="How many seeded faults the tests notice.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--jobs", type=int, default=1, help="how many at once; each has a copy of its own")
    parser.add_argument("--only", nargs="+", default=[], metavar="PACKAGE")
    parser.add_argument("--seconds", type=float, default=1200.0, help="the longest a run of tests may take")
    parser.add_argument("--quick", action="store_true", help="only the tests nearest to the package")
    parser.add_argument("--skip-check", action="store_true", help="don't run all tests on the copy first")
    parser.add_argument("--list", action="store_true", help="only say which mutants would be tried")
    arguments = parser.parse_args()
    mutants = chosen(ROOT, arguments.seed, arguments.count, arguments.only)
    if arguments.list:
        print("\n".join(told(mutant) for mutant in mutants))
        return
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        found = all_tried(mutants, Path(folder), arguments)
    sys.exit(reported(found) < AIM)


if __name__ == "__main__":
    main()
