"""What every browser can be told to do, so that a test is written once and run in several engines."""

from __future__ import annotations

import json
import os
import shutil
import time
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Any, ClassVar

import pytest

WAIT = 10.0  # seconds; longest wait for anything, so that a hung page names the line it hung at
LOOK_EVERY = 0.05  # seconds
# What is far below is laid out a second after loading; until then it has no words to show.
LAID_OUT = (
    "document.getAnimations ? document.getAnimations().every((one) => one.playState === 'finished') : true"
)
SCRIPT_LIMIT = 4.0  # seconds; less than WAIT, as a script that is lost with its document is tried again


class PhoneError(Exception):
    """The browser could not do as told; a document on its way out answers no script."""


@dataclass(frozen=True)
class Window:
    """How a browser is set up.

    Attributes:
        zone: IANA name of the time zone the phone stands in. No engine but Chromium can be given another moment, and
            the last thing the demonstration's plans know of the unit's clock is summer time, so the usual phone
            stands where the clock is an hour ahead of UTC all year.
        scripts: False: pages run no script.
        workers: False: there are no service workers, as in the windows that some apps open links in.
        private: True: a window that forgets.
    """

    zone: str = "Africa/Lagos"
    scripts: bool = True
    workers: bool = True
    private: bool = False


class Phone(ABC):
    """A browser showing one page."""

    @abstractmethod
    def open(self, url: str) -> None:
        """Goes to an address; returns when the document has been read, whatever else is still on its way.

        Raises:
            PhoneError: if nothing can be shown.
        """

    @abstractmethod
    def told(self, expression: str) -> Any:
        """The value of a JavaScript expression at this moment; also where pages run no script.

        Raises:
            PhoneError: if the expression throws, or the document is just being left.
        """

    @abstractmethod
    def awaited(self, expression: str) -> Any:
        """What the promise resolves to that a JavaScript expression gives.

        Raises:
            PhoneError: if it rejects, or the document is left meanwhile.
        """

    def value(self, expression: str) -> Any:
        """The value of a JavaScript expression without effects, as soon as there is one.

        A page may load itself anew at any moment, so what fails is tried again.

        Raises:
            PhoneError: if there is none within WAIT.
        """
        deadline = time.monotonic() + WAIT
        while True:
            try:
                return self.told(expression)
            except PhoneError:
                if time.monotonic() > deadline:
                    raise
                time.sleep(LOOK_EVERY)

    def until(self, expression: str) -> Any:
        """The first value of a JavaScript expression that counts as true.

        Raises:
            PhoneError: if there is none within WAIT.
        """
        deadline = time.monotonic() + WAIT
        while not (found := self.value(expression)):
            if time.monotonic() > deadline:
                raise PhoneError(f"Not within {WAIT:.0f} s: {expression}")
            time.sleep(LOOK_EVERY)
        return found

    def reload(self) -> None:
        """Loads the page again as its own script would; a driver's "refresh" passes the worker by in some engines."""
        self.told("document.documentElement.dataset.left = 'yes'")
        self.told("void setTimeout(() => location.reload())")
        self.until("!document.documentElement.dataset.left && document.readyState !== 'loading'")

    def text(self, selector: str) -> str:
        """The words of an element as they are shown, without the marks that isolate directions."""
        self.until(LAID_OUT)
        words: str = self.value(f"{_found(selector)}.innerText")
        return " ".join(words.translate(dict.fromkeys(range(0x2066, 0x206A))).split())

    def sees(self, selector: str) -> bool:
        """Whether an element is there and takes up room."""
        return bool(self.value(is_seen(selector)))

    def click(self, selector: str) -> None:
        """Clicks an element."""
        self.told(f"void {_found(selector)}.click()")


class DrivenPhone(Phone):
    """A browser that understands the commands of the W3C's WebDriver, whatever carries them."""

    LIMITS: ClassVar = {"script": int(SCRIPT_LIMIT * 1000), "pageLoad": int(WAIT * 1000)}  # milliseconds

    @abstractmethod
    def command(self, name: str, **values: object) -> Any:
        """The answer to a command.

        Raises:
            PhoneError: with what the browser says went wrong.
        """

    def open(self, url: str) -> None:
        self.command("Navigate", url=url)

    def told(self, expression: str) -> Any:
        return self.command("ExecuteScript", script=f"return ({expression})", args=[])

    def awaited(self, expression: str) -> Any:
        script = (
            "const done = arguments[arguments.length - 1];"
            f"Promise.resolve({expression}).then((value) => done({{value}}), (error) => done({{error: String(error)}}))"
        )
        outcome = self.command("ExecuteAsyncScript", script=script, args=[])
        if "error" in outcome:
            raise PhoneError(outcome["error"])
        return outcome.get("value")


def program(variable: str, *names: str) -> str:
    """The path of an engine's program; where it is missing the test is skipped, in CI it fails.

    Args:
        variable: environment variable that may name it.
        names: what it is called, or whole paths.
    """
    for name in (os.environ.get(variable, ""), *names):
        found = shutil.which(name) if name else None
        if found:
            return found
    missing = f"No {names[0]} was found; install it, or name one in {variable}."
    if os.environ.get("CI"):
        pytest.fail(missing)
    pytest.skip(missing)


def is_seen(selector: str) -> str:
    """The expression for: an element is there and takes up room."""
    return f"({_found(selector)}?.getClientRects().length > 0)"


def _found(selector: str) -> str:
    return f"document.querySelector({json.dumps(selector)})"
