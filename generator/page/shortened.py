"""Scripts as phones get them: joined into one function, without remarks, with short names.

The sources stay readable, and each can be tried alone; on a weak link every kilobyte is a wait. Only what a program
does not mean is touched: the names that it declares itself, space, and signs that say nothing. How the sources are read
is in `scripts.py`.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache

from tree_sitter import Node

from generator.page.scripts import BARE, DECLARATIONS, EVERYWHERE, Name, NotPlain, Script, path_of, text_of

_BRIEF = {"true": "!0", "false": "!1", "const": "let"}  # by now it is known that nothing is written anew
_UNCUT = frozenset({"string", "template_string", "regex"})
_ROUND = re.compile(r"(?<=[1-9])0{3,}$")  # 300000 is 3e5
_USES = frozenset({"identifier", "shorthand_property_identifier", "shorthand_property_identifier_pattern"})
_BRANCHES = frozenset({"if_statement", "else_clause", "for_statement", "for_in_statement"})
_SIMPLE = frozenset(
    "identifier member_expression subscript_expression call_expression parenthesized_expression array".split()
)
_VALUES = _SIMPLE | {"binary_expression", "ternary_expression", "await_expression", "new_expression"}
_HOLD_VALUES = frozenset(
    "variable_declarator assignment_expression arguments return_statement parenthesized_expression "
    "arrow_function".split()
)
_MERGED = "\b"  # here one declaration goes on with the next
_RESERVED = frozenset(
    "as do if in is of for get let new set try var case else enum eval from null this true void with async await break "
    "catch class const false super throw while yield delete export import public return static switch typeof default "
    "extends finally package private continue debugger function arguments interface protected implements instanceof "
    "undefined NaN Infinity".split()
)
_LETTERS = "eotsrauifwpdynclghkBMmNFbjWPvJKQRGUSCxVAHTEYqDIZzXOL"  # in an order that packs well
_KEPT = 4  # of them only for names within functions, so that these look alike and pack well

# A text as it stands, or a name and the place at which it is said.
Token = str | tuple[Name, int]


@lru_cache(maxsize=8)  # every command and many tests ask for the same
def shortened(sources: tuple[str, ...], words: tuple[str, ...] = ()) -> str:
    """One script that does what these do, one after the other.

    Args:
        sources: the scripts.
        words: what stands in the data block under its place here, and in the scripts is called `words.<name>`.

    Raises:
        NotPlain: if one is written in a way that cannot be joined or shortened.
    """
    scripts = [Script(number, source) for number, source in enumerate(sources)]
    parts = {script.part: script for script in scripts if script.part}
    places = {f"words.{name}": f"[{place}]" for place, name in enumerate(words)}
    said = [list(_tokens(script, parts, script.body, places)) for script in scripts]
    names = _short_names(said)
    body = "".join(_written(tokens[1:-1], names) for tokens in said)
    return f"(function(){{'use strict';{body.removesuffix(';')}}})();\n"


def _tokens(script: Script, parts: dict[str, Script], node: Node, places: dict[str, str]) -> Iterator[Token]:
    """What a node says, in order."""
    path = path_of(node) if node.type in ("member_expression", "identifier") else []
    linked = script.linked(path, parts) if path else None
    if linked:
        yield linked if isinstance(linked, str) else (linked, node.start_byte)
    elif node.type == "member_expression" and text_of(node) in places:
        yield from _tokens(script, parts, node.children[0], places)
        yield places[text_of(node)]
    elif node.type in _USES:
        name = script.name_at(text_of(node), node.start_byte)
        if name and node.type != "identifier":
            yield from (text_of(node), ":")
        yield (name, node.start_byte) if name else text_of(node)
    elif node.type in _BRIEF:
        yield _BRIEF[node.type]
    elif node.type == "number":
        yield _ROUND.sub(lambda zeros: f"e{len(zeros[0])}", text_of(node))
    elif node.type in _UNCUT or not node.child_count:
        yield text_of(node)
    else:
        if node.type in BARE | DECLARATIONS and not text_of(node).endswith(";"):
            raise NotPlain(f"No semicolon after: {text_of(node)}")
        yield from _tokens_within(script, parts, node, places)


def _tokens_within(
    script: Script, parts: dict[str, Script], node: Node, places: dict[str, str]
) -> Iterator[Token]:
    before: Node | None = None
    for child in _needed(node):
        if child in script.links or child.type == "comment":
            continue
        if before and before.type == child.type == "lexical_declaration":
            yield _MERGED
            for part in child.children[1:]:
                yield from _tokens(script, parts, part, places)
        else:
            yield from _tokens(script, parts, child, places)
        before = child


def _needed(node: Node) -> list[Node]:
    """The children of a node, without signs around one thing: a branch's braces, brackets for a type."""
    inner = [child for child in node.named_children if child.type != "comment"]
    above = node.parent.type if node.parent else ""
    allowed = _VALUES if above in _HOLD_VALUES else _SIMPLE if above == "member_expression" else ()
    bracketed = node.type == "parenthesized_expression" and inner[0].type in allowed
    given = node.type == "formal_parameters" and above == "arrow_function"
    if bracketed or (given and len(inner) == 1 and inner[0].type == "identifier"):
        return inner
    return [_unbraced(child) if node.type in _BRANCHES else child for child in node.children]


def _unbraced(node: Node) -> Node:
    inner = [child for child in node.named_children if child.type != "comment"]
    return inner[0] if node.type == "statement_block" and len(inner) == 1 and inner[0].type in BARE else node


def _short_names(said: list[list[Token]]) -> dict[Name, str]:
    """A short name for each: another than all that are said where it holds, the browser's among them."""
    taken = _RESERVED | {token for tokens in said for token in tokens if isinstance(token, str)}
    uses = [[token for token in tokens if not isinstance(token, str)] for tokens in said]
    counts = Counter(name for one in uses for name, _ in one)
    free = [short for short in _shorts() if short not in taken]
    tops = sorted(
        (name for name in counts if name.scope == EVERYWHERE), key=lambda name: (-counts[name], name)
    )
    names = dict(zip(tops, free[_KEPT:], strict=False))
    for one in uses:
        places = [at for _, at in one]
        first = {name: at for name, at in reversed(one)}
        near = sorted(
            first.keys() - names.keys(), key=lambda name: (name.scope[0], -name.scope[1], first[name])
        )
        for name in near:
            start, end = (bisect_left(places, at) for at in name.scope)
            here = {names.get(other) for other, _ in one[start:end]}
            names[name] = next(short for short in free if short not in here)
    return names


def _shorts() -> Iterator[str]:
    yield from _LETTERS
    for first in _LETTERS:
        for second in _LETTERS:
            yield first + second


def _written(tokens: list[Token], names: dict[Name, str]) -> str:
    pieces = [""]
    for token in tokens:
        said = token if isinstance(token, str) else names[token[0]]
        last = pieces[-1][-1:]
        if said == _MERGED:
            pieces[-1] = ","  # in the place of a semicolon
            continue
        if said == "}" and last in (";", ","):
            pieces.pop()
        elif last and ((_is_word(last) and _is_word(said[0])) or (last == said[0] and last in "+-")):
            pieces.append(" ")
        pieces.append(said)
    return "".join(pieces)


def _is_word(sign: str) -> bool:
    return sign.isalnum() or sign in "_$"
