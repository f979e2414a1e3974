"""Accounts: who may sign in to the console, and in which role. A password is kept as a salted scrypt hash alone."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from functools import cache

import sqlalchemy as sa
from werkzeug.security import check_password_hash, generate_password_hash

from generator.errors import BadRequest
from generator.records import Records, stamp
from generator.records.drawn import drawn_password
from generator.records.tables import accounts

ROLES = ("clerk", "nurse", "lead", "translator")
LEAST = 15  # characters of a password that stands alone (NIST SP 800-63B-4, 3.1.1.2)
MOST = 128  # scrypt takes its time; nobody types more
METHOD = "scrypt:32768:8:3"  # OWASP Password Storage Cheat Sheet: N 2^15, r 8, p 3 is among its equal choices
_NAME = re.compile(r"[a-z0-9][a-z0-9._-]{0,39}")


@dataclass(frozen=True, slots=True)
class Account:
    """Who may sign in.

    Attributes:
        changed: when the password was last set; whoever signed in before that is signed out.
    """

    name: str
    role: str
    changed: str


def every_account(records: Records) -> list[Account]:
    """All accounts by name."""
    with records.change() as connection:
        query = sa.select(accounts.c.name, accounts.c.role, accounts.c.changed).order_by(accounts.c.name)
        return [Account(*row) for row in connection.execute(query)]


def account_named(records: Records, name: str) -> Account | None:
    """The account of that name."""
    with records.change() as connection:
        query = sa.select(accounts.c.name, accounts.c.role, accounts.c.changed).filter_by(name=name)
        row = connection.execute(query).first()
    return Account(*row) if row else None


@cache
def _nobody() -> str:
    """Checked where there is no such account, so that the time an answer takes tells nobody which names there are."""
    return generate_password_hash(drawn_password(), METHOD)


def signed_in(records: Records, name: str, password: str) -> Account | None:
    """The account, if this is its password; a wrong name takes as long as a wrong password."""
    with records.change() as connection:
        kept = connection.execute(sa.select(accounts.c.password).filter_by(name=name)).scalar()
    right = check_password_hash(kept or _nobody(), password[: MOST + 1])
    return account_named(records, name) if kept and right else None


def set_account(records: Records, name: str, role: str, password: str, now: dt.datetime) -> None:
    """Adds an account, or gives the one of that name this role and password.

    Raises:
        BadRequest: if name, role or password will not do.
    """
    _check(name, role)
    if not LEAST <= len(password) <= MOST or len(set(password)) < 5:
        raise BadRequest(
            f"The password has fewer than {LEAST} or more than {MOST} characters, or is one character over and over.",
            remedy="Choose a longer one, such as four words, or let one be drawn: --draw.",
        )
    values = dict(name=name, role=role, password=generate_password_hash(password, METHOD), changed=stamp(now))
    with records.change() as connection:
        connection.execute(sa.delete(accounts).filter_by(name=name))
        connection.execute(sa.insert(accounts).values(values))


def set_role(records: Records, name: str, role: str) -> bool:
    """Gives an account another role; False: there is none of that name."""
    _check(name, role)
    with records.change() as connection:
        done = connection.execute(sa.update(accounts).where(accounts.c.name == name).values(role=role))
        return done.rowcount == 1


def remove_account(records: Records, name: str) -> bool:
    """Removes an account; whoever is signed in with it is signed out. False: there is none of that name."""
    with records.change() as connection:
        return connection.execute(sa.delete(accounts).where(accounts.c.name == name)).rowcount == 1


def _check(name: str, role: str) -> None:
    if not _NAME.fullmatch(name):
        raise BadRequest(
            "The name of an account has something other than small letters, digits, “.”, “_” and “-”, or is longer "
            "than 40.",
            remedy="Choose one such as “desk-1” or a person's initials.",
        )
    if role not in ROLES:
        raise BadRequest(f"There is no role “{role}”.", remedy=f"Use one of: {', '.join(ROLES)}.")
