"""The messages that are written in templates, read from their syntax trees, so that layout cannot hide one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache

from jinja2 import Environment, meta, nodes

from generator.words.message import Message


def template_messages(templates: Mapping[str, str]) -> Iterator[Message]:
    """Every message of every template.

    Raises:
        ValueError: if a template says a message other than by `t("id", "English", "note", ...)` with plain texts.
    """
    for name, text in templates.items():
        yield from _messages_of(text, name)


@lru_cache(maxsize=256)  # many commands ask for the same within one process: the console, a preview
def _messages_of(text: str, name: str) -> tuple[Message, ...]:
    calls = Environment(autoescape=True).parse(text).find_all(nodes.Call)
    said = [call for call in calls if isinstance(call.node, nodes.Name) and call.node.name == "t"]
    return tuple(_message_of(call, name) for call in said)


def with_parts(templates: Mapping[str, str], names: Iterable[str]) -> dict[str, str]:
    """Those templates and all that they extend, include or import."""
    found: dict[str, str] = {}
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found[name] = templates[name]
            tree = Environment(autoescape=True).parse(templates[name])
            waiting += [part for part in meta.find_referenced_templates(tree) if part]
    return found


def _message_of(call: nodes.Call, template: str) -> Message:
    texts = [argument.value for argument in call.args if isinstance(argument, nodes.Const)]
    if len(call.args) != 3 or len(texts) != 3:
        raise ValueError(f'{template}:{call.lineno}: say t("id", "English", "note", …) with plain texts')
    return Message(*texts)
