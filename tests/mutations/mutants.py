"""Which faults can be put into a module: found in its syntax tree, written at exact places of its text.

Only what stands in functions is changed. Texts, annotations, defaults of arguments, decorators and logging are left,
and so are allowances for rounding (1e-6 and less), and the millimetres of a drawing (a matter of taste).
"""

import ast
import hashlib
import re
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]

SIGNS = {ast.Add: ("+", "-"), ast.Sub: ("-", "+"), ast.Mult: ("*", "/"), ast.Div: ("/", "*")}
ROUNDING = 1e-6
DRAWINGS = "service/web/sheet/"
COMPARED = {
    ast.Lt: ("<", ("<=", ">=")),
    ast.LtE: ("<=", ("<", ">")),
    ast.Gt: (">", (">=", "<=")),
    ast.GtE: (">=", (">", "<")),
    ast.Eq: ("==", ("!=",)),
    ast.NotEq: ("!=", ("==",)),
    ast.Is: ("is", ("is not",)),
    ast.IsNot: ("is not", ("is",)),
    ast.In: ("in", ("not in",)),
    ast.NotIn: ("not in", ("in",)),
}


@dataclass(frozen=True, kw_only=True)
class Mutant:
    """One fault: the text of a module from `start` to `end` (bytes) is replaced."""

    module: str
    line_number: int
    line: str
    change: str
    nth: int
    start: int
    end: int
    text: str
    statement: tuple[int, int]
    whole: bytes = field(repr=False)

    @property
    def name(self):
        """Module, text of the line and change: what a list of equivalent mutants calls it."""
        return self.module, self.line, self.change

    @property
    def numbers(self):
        """The lines at which the interpreter may say that it passes here: the whole statement's."""
        return range(self.statement[0], self.statement[1] + 1)

    @property
    def rank(self):
        """Place in the draw: as good as random, the same in every run, the same when lines above it come or go."""
        return hashlib.sha256("\0".join((*self.name, str(self.nth))).encode()).hexdigest()

    def can_be_read(self):
        """Return whether Python still accepts the module."""
        try:
            compile(self.source(), self.module, "exec")
        except SyntaxError:
            return False
        return True

    def source(self):
        """Return the module's text with the fault in it."""
        return self.whole[: self.start] + self.text.encode() + self.whole[self.end :]


class _Finder(ast.NodeVisitor):
    def __init__(self, whole, numbers):
        self.whole, self.numbers = whole, numbers
        self.starts = [0]
        for line in whole.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))
        self.depth = 0
        self.found = []

    def span(self, node):
        return (
            self.starts[node.lineno - 1] + node.col_offset,
            self.starts[node.end_lineno - 1] + node.end_col_offset,
        )

    def replace(self, node, text):
        self.found.append((*self.span(node), text))

    def between(self, left, right, operator, text):
        """Replace an operator that stands between two nodes, perhaps with brackets or line ends around it."""
        start, end = self.span(left)[1], self.span(right)[0]
        pattern = re.escape(operator).replace(r"\ ", r"\s+")
        pattern = rf"\b{pattern}\b" if operator[0].isalpha() else pattern
        at = re.search(pattern.encode(), self.whole[start:end])
        if self.depth and at:
            self.found.append((start + at.start(), start + at.end(), text))

    def visit_FunctionDef(self, node):
        self.depth += 1
        for statement in node.body:
            self.visit(statement)
        self.depth -= 1

    visit_AsyncFunctionDef = visit_FunctionDef

    def visit_Lambda(self, node):
        self.depth += 1
        self.visit(node.body)
        self.depth -= 1

    def visit_AnnAssign(self, node):
        if node.value is not None:
            self.visit(node.value)

    def visit_JoinedStr(self, node):
        pass

    def visit_Call(self, node):
        if isinstance(node.func, ast.Attribute) and getattr(node.func.value, "id", "") in ("logging", "logger", "log"):
            return
        self.generic_visit(node)

    def visit_BinOp(self, node):
        texts = (ast.JoinedStr, ast.List, ast.Tuple, ast.Dict, ast.Set)
        of_text = any(
            isinstance(side, texts) or (isinstance(side, ast.Constant) and isinstance(side.value, str | bytes))
            for side in (node.left, node.right)
        )
        rounding = (
            isinstance(node.right, ast.Constant) and type(node.right.value) is float and node.right.value <= ROUNDING
        )
        if type(node.op) in SIGNS and not of_text and not rounding:
            self.between(node.left, node.right, *SIGNS[type(node.op)])
        self.generic_visit(node)

    def visit_AugAssign(self, node):
        if type(node.op) in SIGNS:
            self.between(node.target, node.value, *SIGNS[type(node.op)])
        self.generic_visit(node)

    def visit_BoolOp(self, node):
        operator, other = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in zip(node.values, node.values[1:], strict=False):
            self.between(left, right, operator, other)
        self.generic_visit(node)

    def visit_Compare(self, node):
        sides = [node.left, *node.comparators]
        for left, right, kind in zip(sides, sides[1:], node.ops, strict=False):
            operator, others = COMPARED[type(kind)]
            for other in others:
                self.between(left, right, operator, other)
        self.generic_visit(node)

    def visit_UnaryOp(self, node):
        if self.depth and isinstance(node.op, ast.Not | ast.USub):
            start, end = self.span(node)
            inner = self.span(node.operand)[0]
            self.found.append((start, end, f"({self.whole[inner:end].decode()})"))
        if not (isinstance(node.op, ast.USub) and isinstance(node.operand, ast.Constant)):
            self.generic_visit(node)

    def visit_Subscript(self, node):
        self.visit(node.value)
        for part in node.slice.elts if isinstance(node.slice, ast.Tuple) else [node.slice]:
            if isinstance(part, ast.Slice):
                for bound in (part.lower, part.upper, part.step):
                    if bound is not None:
                        self.index(bound)
            else:
                self.index(part)

    def index(self, node):
        try:
            number = ast.literal_eval(node)
        except ValueError:
            return self.visit(node)
        if self.depth and type(number) is int:
            for other in {0: (1, -1), 1: (0, 2), -1: (0, -2)}.get(number, (number + 1,)):
                self.replace(node, str(other))
        return None

    def visit_Constant(self, node):
        if self.depth and self.numbers and type(node.value) is int:
            self.replace(node, str(node.value + 1))
        elif self.depth and self.numbers and type(node.value) is float and not 0.0 < node.value <= ROUNDING:
            self.replace(node, repr(node.value * 2.0 or 1.0))


def _statements(tree):
    """Return for each line the first and last line of the smallest statement on it; of one with a body its head."""
    found = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            last = max(node.lineno, body[0].lineno - 1 if body else node.end_lineno)
            for number in range(node.lineno, last + 1):
                found[number] = (node.lineno, last)
    return found


def mutants(module):
    """Return every fault that can be put into a module, in the order of its text.

    Parameters
    ----------
    module : str
        Path below the root of the checkout.

    Returns
    -------
    list of Mutant
    """
    whole = (ROOT / module).read_bytes()
    finder = _Finder(whole, numbers=not module.startswith(DRAWINGS))
    tree = ast.parse(whole)
    finder.visit(tree)
    statements = _statements(tree)
    made, seen = [], {}
    for start, end, text in sorted(finder.found):
        first, last = whole.rfind(b"\n", 0, start) + 1, whole.find(b"\n", end)
        line = " ".join(whole[first:last].decode().split())
        change = " ".join((whole[first:start] + text.encode() + whole[end:last]).decode().split())
        line_number = whole.count(b"\n", 0, start) + 1
        nth = seen[line, change] = seen.get((line, change), -1) + 1
        made.append(
            Mutant(
                module=module,
                line_number=line_number,
                line=line,
                change=change,
                nth=nth,
                start=start,
                end=end,
                text=text,
                statement=statements[line_number],
                whole=whole,
            )
        )
    return made
