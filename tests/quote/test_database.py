from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
import sqlalchemy as sa

from heatersel.errors import DataError
from heatersel.quote.database import HEAD, engine_of, revision_of, upgrade, url_of
from heatersel.quote.register import Register
from heatersel.quote.register_rows import sealed_quote

FIRST = "0001"


@pytest.fixture
def first_schema(place, record_of):
    """A register as the first version left it, with a quote in it."""
    engine = engine_of(url_of(place))
    upgrade(engine, FIRST)
    with engine.begin() as connection:
        table = sa.Table("quote", sa.MetaData(), autoload_with=connection)
        sealed = sealed_quote("0123abcd", record_of("old"), "2026-01-01T00:00:00.000000Z")
        row = {name: value for name, value in sealed.items() if name in table.c}
        connection.execute(table.insert(), row)
    engine.dispose()
    return place


def test_a_register_of_the_first_schema_keeps_its_quotes(first_schema):
    if HEAD != FIRST and "://" in first_schema:
        with pytest.raises(DataError, match="heatersel register upgrade"):
            Register.open(first_schema)
        engine = engine_of(url_of(first_schema))
        upgrade(engine)
        engine.dispose()
    with Register.open(first_schema) as register:
        assert revision_of(register.engine) == HEAD
        entry = register.get("0123", dt.date(2026, 1, 2))
    assert entry.record["title"] == "old"
    if HEAD != FIRST and "://" not in first_schema:
        assert Path(f"{first_schema}.before-{HEAD}").exists()


def test_a_file_and_a_url_name_a_database():
    assert str(url_of("a/quotes.db")) == "sqlite:///a/quotes.db"
    assert url_of("postgresql://a@b/c").drivername == "postgresql+psycopg"
    assert url_of("postgres+psycopg://a@b/c".replace("postgres+", "postgresql+")).database == "c"


def test_a_stored_quote_survives_a_power_cut(tmp_path):
    # SQLite: WAL with synchronous=FULL syncs the log at each commit (its documentation, memory).
    engine = engine_of(url_of(str(tmp_path / "q.db")))
    with engine.connect() as connection:
        settings = {name: connection.exec_driver_sql(f"pragma {name}").scalar()
                    for name in ("journal_mode", "synchronous", "foreign_keys")}  # fmt: skip
    engine.dispose()
    assert settings == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
