"""Reads the phone's scripts: what each declares, where it holds, and what it gives to the others.

The sources share one object, `daybefore`. A file is one function that is called at once. It ends by putting its own
there (`daybefore.clock = { time: time }`), another calls `daybefore.clock.time(…)`, or first names a part or a function
of it: `const dom = daybefore.dom;`. Within one function nothing of this is needed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

import tree_sitter_javascript
from tree_sitter import Language, Node, Parser

_PARSER = Parser(Language(tree_sitter_javascript.language()))
_SHARED = "daybefore"
_FUNCTIONS = frozenset({"function_declaration", "function_expression", "arrow_function", "method_definition"})
_SCOPES = _FUNCTIONS | {"statement_block", "for_statement", "for_in_statement", "catch_clause"}
BARE = frozenset({"expression_statement", "return_statement", "throw_statement", "break_statement"})
DECLARATIONS = frozenset({"lexical_declaration", "variable_declaration"})
EVERYWHERE = (0, 0)


class NotPlain(ValueError):
    """A script says something in a way that cannot be joined or shortened."""


class Name(NamedTuple):
    """A name that a script declares, and from which byte to which it holds; EVERYWHERE: in the whole script."""

    script: int
    scope: tuple[int, int]
    text: str


class Script:
    """One source.

    Attributes:
        body: what its function holds.
        part: what it is called in the shared object; "" if it gives nothing.
        links: its statements that only say what is shared.
    """

    def __init__(self, number: int, source: str) -> None:
        """Raises NotPlain."""
        self.number = number
        self.body = _body_of(_PARSER.parse(source.encode()).root_node)
        self.part = ""
        self.links: set[Node] = set()
        self._given: dict[str, str] = {}
        self._parts: dict[str, str] = {}
        self._known: dict[str, list[str] | str] = {}
        self._scopes: dict[str, list[tuple[int, int]]] = {}
        for statement in self.body.named_children:
            if self._is_link(statement):
                self.links.add(statement)
            else:
                self._find_scopes(statement, EVERYWHERE)

    def name_at(self, text: str, at: int) -> Name | None:
        """The name that is meant by an identifier at a place; None: the browser's, or another script's."""
        around = [
            scope for scope in self._scopes.get(text, ()) if scope == EVERYWHERE or scope[0] <= at < scope[1]
        ]
        return Name(self.number, max(around), text) if around else None

    def linked(self, path: list[str], parts: Mapping[str, Script]) -> Name | str | None:
        """What `daybefore.clock.time`, `dom.show`, or a name given to such a one or to a number stands for.

        Raises:
            NotPlain: if no script gives it.
        """
        known = self._known.get(path[0]) if len(path) == 1 else None
        if isinstance(known, str):
            return known
        full = known or self._full(path)
        if full[0] != _SHARED or (not known and len(full) > 3):
            return None
        given = parts[full[1]]._given.get(full[2]) if len(full) == 3 and full[1] in parts else None
        if not given:
            raise NotPlain(f"Nothing is given as {'.'.join(full)}.")
        return Name(parts[full[1]].number, EVERYWHERE, given)

    def _full(self, path: list[str]) -> list[str]:
        return [_SHARED, self._parts[path[0]], *path[1:]] if path[0] in self._parts else path

    def _is_link(self, statement: Node) -> bool:
        """Takes down what a statement only says about shared things, or about a number; whether it does."""
        if text_of(statement) == "'use strict';":
            return True
        if not statement.named_children:
            return False
        inner = statement.named_children[0]
        if statement.type == "expression_statement" and inner.type == "assignment_expression":
            return self._gives(path_of(inner.child_by_field_name("left")), inner.child_by_field_name("right"))
        if statement.type != "lexical_declaration" or text_of(statement.children[0]) != "const":
            return False
        name, value = text_of(inner.child_by_field_name("name")), inner.child_by_field_name("value")
        path = self._full(path_of(value) or [""])
        if path[0] == _SHARED and len(path) == 2:
            self._parts[name] = path[1]
        elif path[0] == _SHARED and len(path) == 3:
            self._known[name] = path
        elif value and value.type == "number" and len(statement.named_children) == 1:
            self._known[name] = text_of(value)
        else:
            return False
        return True

    def _gives(self, path: list[str], given: Node | None) -> bool:
        if path[:1] != [_SHARED] or len(path) != 2 or given is None:
            return False
        self.part = path[1]
        for pair in given.named_children:
            key, value = pair.child_by_field_name("key"), pair.child_by_field_name("value")
            self._given[text_of(key or pair)] = text_of(value or pair)
        return True

    def _find_scopes(self, node: Node, scope: tuple[int, int]) -> None:
        """A function's body is one scope with what it is given; its name is outside."""
        for name in _declared(node):
            if name in self._parts or name in self._known:
                raise NotPlain(f"{name} means two things.")
            self._scopes.setdefault(name, []).append(scope)
        given = node.child_by_field_name("parameters") or node.child_by_field_name("parameter")
        if node.type in _SCOPES and not (node.parent and node.parent.type in _FUNCTIONS | {"catch_clause"}):
            scope = (
                given.start_byte if given and node.type in _FUNCTIONS else node.start_byte,
                node.end_byte,
            )
        for name in _within(node):
            if name in self._parts or name in self._known:
                raise NotPlain(f"{name} means two things.")
            self._scopes.setdefault(name, []).append(scope)
        for child in node.named_children:
            self._find_scopes(child, scope)


def text_of(node: Node | None) -> str:
    """The source of a node."""
    return (node.text or b"").decode() if node else ""


def path_of(node: Node | None) -> list[str]:
    """`a.b.c` as its names; empty for anything else."""
    if node and node.type == "identifier":
        return [text_of(node)]
    if node and node.type == "member_expression":
        before = path_of(node.child_by_field_name("object"))
        return [*before, text_of(node.child_by_field_name("property"))] if before else []
    return []


def _body_of(root: Node) -> Node:
    """The body of the one `(function () {…})();` of a source."""
    if not root.has_error:
        for statement in root.named_children:
            call = statement.named_children[0] if statement.type == "expression_statement" else None
            called = call.child_by_field_name("function") if call else None
            body = called.named_children[0].child_by_field_name("body") if called else None
            if body:
                return body
    raise NotPlain("A script is not one function that is called at once, or cannot be read.")


def _declared(node: Node) -> Iterator[str]:
    """The names that a statement declares for its neighbours."""
    if node.type == "variable_declaration":
        raise NotPlain(f"Not let or const: {text_of(node)}")
    if node.type == "function_declaration":
        yield text_of(node.child_by_field_name("name"))
    elif node.type == "lexical_declaration":
        for one in node.named_children:
            yield from _bound(one.child_by_field_name("name"))


def _within(node: Node) -> Iterator[str]:
    """The names that hold within a node: what a function is given, what a loop or a catch names."""
    if node.type in _FUNCTIONS:
        yield from _bound(node.child_by_field_name("parameters"))
        yield from _bound(node.child_by_field_name("parameter"))
    elif node.type == "for_in_statement" and node.child_by_field_name("kind"):
        yield from _bound(node.child_by_field_name("left"))
    elif node.type == "catch_clause":
        yield from _bound(node.child_by_field_name("parameter"))


def _bound(pattern: Node | None) -> Iterator[str]:
    """The names that a pattern binds: `{ a, b: [c] = d }` binds a and c."""
    if pattern is None:
        return
    if pattern.type in ("identifier", "shorthand_property_identifier_pattern"):
        yield text_of(pattern)
    elif pattern.type in ("assignment_pattern", "object_assignment_pattern"):
        yield from _bound(pattern.child_by_field_name("left"))
    elif pattern.type == "pair_pattern":
        yield from _bound(pattern.child_by_field_name("value"))
    else:
        for child in pattern.named_children:
            yield from _bound(child)
