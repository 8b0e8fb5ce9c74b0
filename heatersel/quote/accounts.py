"""Who may do what in a company's register: accounts, sessions, roles and the trail they leave.

Passwords are kept as argon2id hashes; a session is a random key of which the register keeps the
hash; everything that somebody does is added to a trail that the database never lets go.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import secrets
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa

from heatersel.errors import InputError, UnknownChoiceError
from heatersel.quote.register import Register
from heatersel.quote.register_rows import utc_text
from heatersel.quote.register_tables import ACCOUNT, SESSION, TRAIL

if TYPE_CHECKING:
    from argon2 import PasswordHasher

__all__ = ["ALLOWED", "Account", "Accounts", "Action", "Role", "Session"]

_SHORTEST, _LONGEST = 12, 200
_MOST_FAILURES = 5
_REST = dt.timedelta(minutes=15)
_IDLE = dt.timedelta(hours=1)
_WHOLE = dt.timedelta(hours=12)
_NEVER = ""
_LONGEST_NAME = 80


class Role(StrEnum):
    """What somebody is in the company."""

    PLUMBER = "plumber"
    REVIEWER = "reviewer"
    MANAGER = "manager"


class Action(StrEnum):
    """What somebody may want to do."""

    SEE_OWN = "see_own"
    SEE_ALL = "see_all"
    MAKE = "make"
    ANSWER = "answer"
    PRINT = "print"
    REVIEW = "review"
    SEE_POLICY = "see_policy"
    MANAGE_ACCOUNTS = "manage_accounts"
    SEE_TRAIL = "see_trail"


_PLUMBER = (Action.SEE_OWN, Action.MAKE, Action.ANSWER, Action.PRINT, Action.SEE_POLICY)
_REVIEWER = (*_PLUMBER, Action.SEE_ALL, Action.REVIEW)
ALLOWED: Mapping[Role, frozenset[Action]] = {
    Role.PLUMBER: frozenset(_PLUMBER),
    Role.REVIEWER: frozenset(_REVIEWER),
    Role.MANAGER: frozenset((*_REVIEWER, Action.MANAGE_ACCOUNTS, Action.SEE_TRAIL)),
}
"""What each role may do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """Somebody who may sign in.

    Parameters
    ----------
    name : str
        As it stands on quotes.
    role : Role
        What they may do.
    active : bool
        Whether they may sign in.
    """

    name: str
    role: Role
    active: bool

    def may(self, action: Action) -> bool:
        """Return whether the role allows an action."""
        return self.active and action in ALLOWED[self.role]

    def may_see(self, by_name: str) -> bool:
        """Return whether they may see a quote that somebody made."""
        return self.may(Action.SEE_ALL) or (self.may(Action.SEE_OWN) and by_name == self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """Somebody who is signed in.

    Parameters
    ----------
    account : Account
        Who.
    key : str
        Random secret that the browser keeps; the register holds only its hash.
    guard : str
        Random word that every form has to send back.
    """

    account: Account
    key: str
    guard: str

    def guards(self, word: str) -> bool:
        """Return whether a form sent the right word."""
        return hmac.compare_digest(self.guard.encode(), word.encode())


class Accounts:
    """The accounts of a register.

    Parameters
    ----------
    register : Register
        Where they are kept.
    """

    def __init__(self, register: Register) -> None:
        """Keep the register."""
        self.register = register

    def add(self, name: str, password: str, role: str, *, by: str, at: dt.datetime) -> None:
        """Add an account; raise InputError for a name in use, a role unknown, a weak password."""
        clean = " ".join(name.split())
        if not clean or len(clean) > _LONGEST_NAME or not clean.isprintable():
            raise InputError.of("name", value=repr(name[:40]), fix="an example is A. Plumber",
                                allowed=f"1 to {_LONGEST_NAME} characters")  # fmt: skip
        hashed = _hashed(password, clean)
        values = {"name": clean, "role": _role(role).value, "password": hashed, "active": True,
                  "failures": 0, "rests_until": _NEVER}  # fmt: skip
        with self.register.writing() as connection:
            if self._row(connection, clean) is not None:
                raise InputError.of("name", value=clean, allowed="a name that nobody has yet",
                                    fix="add a letter or a first name")  # fmt: skip
            connection.execute(ACCOUNT.insert(), values)
            _note(connection, at, by, "add account", f"{clean}, {role}")

    def change(
        self, name: str, *, by: str, at: dt.datetime, role: str = "", active: bool | None = None,
        password: str = "",
    ) -> None:  # fmt: skip
        """Change role, password or whether somebody may sign in; their sessions end.

        Raises
        ------
        InputError
            If there is no such account, or no manager would be left.
        """
        changes: dict[str, Any] = {}
        if role:
            changes["role"] = _role(role).value
        if active is not None:
            changes["active"] = active
        if password:
            changes["password"] = _hashed(password, name)
            changes |= {"failures": 0, "rests_until": _NEVER}
        with self.register.writing() as connection:
            if self._row(connection, name) is None:
                raise InputError.of("name", value=name, allowed="an account of this register",
                                    fix="list them with: heatersel accounts list")  # fmt: skip
            connection.execute(ACCOUNT.update().where(ACCOUNT.c.name == name).values(**changes))
            managers = sa.select(sa.func.count()).where(
                ACCOUNT.c.role == Role.MANAGER.value, ACCOUNT.c.active
            )
            if not connection.scalar(managers):
                raise InputError.of("role", value=f"{name} is the last manager",
                                    allowed="at least one active manager",
                                    fix="make somebody else a manager first")  # fmt: skip
            connection.execute(SESSION.delete().where(SESSION.c.name == name))
            what = ", ".join(f"{key} {value}" for key, value in changes.items()
                             if key in ("role", "active"))  # fmt: skip
            _note(connection, at, by, "change account", f"{name}: {what or 'password'}")

    def all(self) -> tuple[Account, ...]:
        """Return every account by name."""
        with self.register.reading() as connection:
            rows = connection.execute(sa.select(ACCOUNT).order_by(ACCOUNT.c.name)).mappings()
            return tuple(_account(dict(row)) for row in rows)

    def sign_in(
        self, name: str, password: str, *, at: dt.datetime, address: str = ""
    ) -> Session | None:
        """Return a new session, None if name and password do not fit or the account rests.

        After five wrong tries in a row an account rests for 15 minutes, whatever is tried. An
        unknown name takes as long as a wrong password, so that names cannot be found out.
        """
        clean = " ".join(name.split())[:_LONGEST_NAME]
        with self.register.reading() as connection:
            row = self._row(connection, clean)
        fits = _fits(row["password"] if row is not None else _nobody(), password[:_LONGEST])
        now = utc_text(at)
        key, guard = secrets.token_urlsafe(32), secrets.token_urlsafe(32)
        with self.register.writing() as connection:
            row = self._row(connection, clean, hold=True)
            if row is None or not row["active"] or row["rests_until"] > now or not fits:
                self._failed(connection, row, clean, at, address)
                return None
            connection.execute(
                ACCOUNT.update().where(ACCOUNT.c.name == clean)
                .values(failures=0, rests_until=_NEVER)
            )  # fmt: skip
            connection.execute(SESSION.insert(), {
                "key": _digest(key), "name": clean, "guard": guard, "began": now, "seen": now,
            })  # fmt: skip
            _note(connection, at, clean, "sign in", "", address)
        return Session(account=_account(row), key=key, guard=guard)

    def session(self, key: str, at: dt.datetime) -> Session | None:
        """Return the session of a key, None if there is none, it is old or the account rests.

        A session ends after an hour without a request and after twelve hours in any case.
        """
        if not key:
            return None
        digest = _digest(key)
        with self.register.writing() as connection:
            found = connection.execute(sa.select(SESSION).where(SESSION.c.key == digest))
            row = found.mappings().one_or_none()
            if row is None:
                return None
            account = self._row(connection, row["name"])
            ended = row["seen"] < utc_text(at - _IDLE) or row["began"] < utc_text(at - _WHOLE)
            if ended or account is None or not account["active"]:
                connection.execute(SESSION.delete().where(SESSION.c.key == digest))
                return None
            connection.execute(
                SESSION.update().where(SESSION.c.key == digest).values(seen=utc_text(at))
            )
        return Session(account=_account(account), key=key, guard=row["guard"])

    def sign_out(self, session: Session, *, at: dt.datetime, address: str = "") -> None:
        """End a session."""
        with self.register.writing() as connection:
            connection.execute(SESSION.delete().where(SESSION.c.key == _digest(session.key)))
            _note(connection, at, session.account.name, "sign out", "", address)

    def note(
        self, by: str, action: str, subject: str = "", *, at: dt.datetime, address: str = ""
    ) -> None:
        """Add to the trail what somebody did."""
        with self.register.writing() as connection:
            _note(connection, at, by, action, subject, address)

    def trail(self, limit: int = 200) -> tuple[dict[str, Any], ...]:
        """Return what was done, the newest first."""
        order = sa.select(TRAIL).order_by(TRAIL.c.at.desc(), TRAIL.c.id).limit(limit)
        with self.register.reading() as connection:
            return tuple(dict(row) for row in connection.execute(order).mappings())

    def _row(
        self, connection: sa.Connection, name: str, *, hold: bool = False
    ) -> dict[str, Any] | None:
        """Return an account; `hold` keeps others from changing it until we are done."""
        statement = sa.select(ACCOUNT).where(ACCOUNT.c.name == name)
        found = connection.execute(statement.with_for_update() if hold else statement)
        row = found.mappings().one_or_none()
        return None if row is None else dict(row)

    def _failed(
        self, connection: sa.Connection, row: dict[str, Any] | None, name: str, at: dt.datetime,
        address: str,
    ) -> None:  # fmt: skip
        _note(connection, at, name, "sign in refused", "", address)
        if row is None or row["rests_until"] > utc_text(at):
            return
        failures = row["failures"] + 1
        rests = failures >= _MOST_FAILURES
        connection.execute(
            ACCOUNT.update().where(ACCOUNT.c.name == name).values(
                failures=0 if rests else failures,
                rests_until=utc_text(at + _REST) if rests else _NEVER,
            )
        )  # fmt: skip


def _account(row: Mapping[str, Any]) -> Account:
    return Account(name=row["name"], role=Role(row["role"]), active=bool(row["active"]))


def _role(role: str) -> Role:
    if role not in list(Role):
        raise UnknownChoiceError.of("role", value=role, allowed=", ".join(Role),
                                    fix="use one of these words")  # fmt: skip
    return Role(role)


@lru_cache(maxsize=1)
def _hasher() -> PasswordHasher:
    try:
        from argon2 import PasswordHasher
    except ImportError:
        raise InputError.of("accounts", value="without argon2", allowed="the package argon2-cffi",
                            fix="pip install argon2-cffi") from None  # fmt: skip
    return PasswordHasher()  # argon2id with the parameters of RFC 9106, low memory


def _hashed(password: str, name: str) -> str:
    """Return the hash of a password; raise InputError for one that is easily guessed."""
    if not _SHORTEST <= len(password) <= _LONGEST:
        raise InputError.of("password", value=f"{len(password)} characters",
                            allowed=f"{_SHORTEST} to {_LONGEST} characters",
                            fix="four or five words make a good one")  # fmt: skip
    if name.lower() in password.lower() or len(set(password)) < 5:
        raise InputError.of("password", value="easily guessed", fix="use other words",
                            allowed="no name, and more than a few different characters",
                            )  # fmt: skip
    return _hasher().hash(password)


def _fits(hashed: str, password: str) -> bool:
    from argon2.exceptions import Argon2Error, InvalidHashError

    try:
        return _hasher().verify(hashed, password)
    except (Argon2Error, InvalidHashError):
        return False


@lru_cache(maxsize=1)
def _nobody() -> str:
    """Return the hash of a password that nobody knows, to spend the same time on any name."""
    return _hasher().hash(secrets.token_urlsafe(32))


def _digest(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


def _note(
    connection: sa.Connection, at: dt.datetime, by: str, action: str, subject: str,
    address: str = "",
) -> None:  # fmt: skip
    connection.execute(TRAIL.insert(), {
        "id": str(uuid.uuid4()), "at": utc_text(at), "by_name": by[:80], "action": action[:40],
        "subject": subject[:200], "address": address[:60],
    })  # fmt: skip
