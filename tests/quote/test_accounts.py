from __future__ import annotations

import datetime as dt

import pytest
import sqlalchemy as sa

from heatersel.errors import DataError, InputError, UnknownChoiceError
from heatersel.quote.accounts import ALLOWED, Accounts, Action, Role
from heatersel.quote.register import Register
from heatersel.quote.register_tables import ACCOUNT, SESSION

NOW = dt.datetime(2026, 11, 20, 8, 0, tzinfo=dt.UTC)
WORD = "copper kettle river moon"
MINUTE = dt.timedelta(minutes=1)


@pytest.fixture
def accounts(place):
    with Register.open(place) as register:
        found = Accounts(register)
        found.add("Boss", WORD, "manager", by="", at=NOW)
        yield found


def sign_in(accounts, password=WORD, name="Boss", at=NOW):
    return accounts.sign_in(name, password, at=at)


def test_the_right_password_signs_in_and_a_wrong_one_does_not(accounts):
    assert sign_in(accounts).account.role is Role.MANAGER
    assert sign_in(accounts, "another four words here") is None
    assert sign_in(accounts, name="Nobody") is None


def test_no_password_and_no_key_is_kept_readable(accounts):
    session = sign_in(accounts)
    with accounts.register.reading() as connection:
        hashed = connection.scalar(sa.select(ACCOUNT.c.password))
        key = connection.scalar(sa.select(SESSION.c.key))
    # argon2id in its published text form (RFC 9106 and the reference implementation, from memory).
    assert hashed.startswith("$argon2id$v=19$m=")
    assert WORD not in hashed
    assert key != session.key


def test_two_equal_passwords_have_two_hashes(accounts):
    accounts.add("Other", WORD, "plumber", by="Boss", at=NOW)
    with accounts.register.reading() as connection:
        assert len(set(connection.scalars(sa.select(ACCOUNT.c.password)))) == 2


@pytest.mark.parametrize("password", ["short", "x" * 201, "aaaaaaaaaaaaaaaa", "the boss is here"])
def test_a_weak_password_is_refused(accounts, password):
    with pytest.raises(InputError, match="password is"):
        accounts.change("Boss", by="Boss", at=NOW, password=password)
    assert sign_in(accounts) is not None


def test_five_wrong_tries_let_the_account_rest_for_a_quarter_of_an_hour(accounts):
    for _ in range(5):
        assert sign_in(accounts, "wrong words again and again") is None
    assert sign_in(accounts) is None
    assert sign_in(accounts, at=NOW + 14 * MINUTE) is None
    assert sign_in(accounts, at=NOW + 16 * MINUTE) is not None


def test_a_right_password_forgets_the_wrong_tries(accounts):
    for _ in range(3):
        for _ in range(4):
            sign_in(accounts, "wrong words again and again")
        assert sign_in(accounts) is not None


def test_trying_while_it_rests_does_not_make_it_longer(accounts):
    for minute in range(10):
        sign_in(accounts, "wrong words again and again", at=NOW + minute * MINUTE)
    assert sign_in(accounts, at=NOW + 20 * MINUTE) is not None


def test_each_sign_in_has_a_key_of_its_own(accounts):
    keys = {sign_in(accounts).key for _ in range(5)}
    assert len(keys) == 5
    assert all(len(key) >= 43 for key in keys)


def test_a_session_ends_by_signing_out(accounts):
    session = sign_in(accounts)
    assert accounts.session(session.key, NOW).account.name == "Boss"
    accounts.sign_out(session, at=NOW)
    assert accounts.session(session.key, NOW) is None


@pytest.mark.parametrize("key", ["", "guess", "' or '1'='1", "\0", "é" * 50])
def test_a_guessed_key_is_no_session(accounts, key):
    sign_in(accounts)
    assert accounts.session(key, NOW) is None


def test_a_session_ends_after_an_idle_hour(accounts):
    key = sign_in(accounts).key
    assert accounts.session(key, NOW + 59 * MINUTE) is not None
    assert accounts.session(key, NOW + 118 * MINUTE) is not None
    assert accounts.session(key, NOW + 179 * MINUTE) is None


def test_a_session_ends_after_twelve_hours_in_any_case(accounts):
    key = sign_in(accounts).key
    for half_hours in range(24):
        assert accounts.session(key, NOW + half_hours * 30 * MINUTE) is not None
    assert accounts.session(key, NOW + dt.timedelta(hours=12, minutes=1)) is None


def test_a_change_of_account_ends_its_sessions(accounts):
    accounts.add("Plumber", WORD, "plumber", by="Boss", at=NOW)
    key = sign_in(accounts, name="Plumber").key
    accounts.change("Plumber", by="Boss", at=NOW, role="reviewer")
    assert accounts.session(key, NOW) is None
    key = sign_in(accounts, name="Plumber").key
    accounts.change("Plumber", by="Boss", at=NOW, active=False)
    assert accounts.session(key, NOW) is None
    assert sign_in(accounts, name="Plumber") is None


def test_a_new_password_takes_the_place_of_the_old_one(accounts):
    accounts.change("Boss", by="Boss", at=NOW, password="seven brass taps dripping")
    assert sign_in(accounts) is None
    assert sign_in(accounts, "seven brass taps dripping") is not None


def test_the_last_manager_stays(accounts):
    for change in ({"role": "plumber"}, {"active": False}):
        with pytest.raises(InputError, match="last manager"):
            accounts.change("Boss", by="Boss", at=NOW, **change)
    assert accounts.all()[0].may(Action.MANAGE_ACCOUNTS)


@pytest.mark.parametrize("name", ["", "  ", "x" * 81, "bell\x07"])
def test_a_name_that_is_none_is_refused(accounts, name):
    with pytest.raises(InputError, match="name is"):
        accounts.add(name, WORD, "plumber", by="", at=NOW)


def test_a_name_in_use_and_an_unknown_role_are_refused(accounts):
    with pytest.raises(InputError, match="nobody has yet"):
        accounts.add("Boss", WORD, "plumber", by="", at=NOW)
    with pytest.raises(UnknownChoiceError, match="plumber, reviewer, manager"):
        accounts.add("New", WORD, "king", by="", at=NOW)
    with pytest.raises(InputError, match="an account of this register"):
        accounts.change("Nobody", by="", at=NOW, active=False)


def test_the_trail_tells_who_did_what_and_is_never_changed(accounts):
    wrong = "wrong words again and again"
    accounts.sign_in("Boss", wrong, at=NOW + MINUTE, address="10.0.0.9")
    sign_in(accounts, at=NOW + 2 * MINUTE)
    newest, refused, *_ = accounts.trail()
    assert (newest["action"], newest["by_name"]) == ("sign in", "Boss")
    assert (refused["action"], refused["address"]) == ("sign in refused", "10.0.0.9")
    for statement in ("delete from trail", "update trail set by_name = 'x'"):
        with pytest.raises(DataError, match="never changed"), accounts.register.writing() as c:
            c.execute(sa.text(statement))


def test_roles_allow_more_from_plumber_to_manager():
    plumber, reviewer, manager = (ALLOWED[role] for role in Role)
    assert plumber < reviewer < manager
    assert manager == set(Action)


def test_an_account_that_rests_may_nothing(accounts):
    accounts.add("Plumber", WORD, "plumber", by="Boss", at=NOW)
    accounts.change("Plumber", by="Boss", at=NOW, active=False)
    plumber = accounts.all()[1]
    assert not any(plumber.may(action) for action in Action)
    assert not plumber.may_see("Plumber")
