"""The company server through its own test client: who gets in, who may do what, what leaks."""

from __future__ import annotations

import datetime as dt
import io
import re
import uuid

import pytest
from argon2 import PasswordHasher
from pypdf import PdfReader

from dashboard.company import Company, create_company_app
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.load import parse_job
from heatersel.job.write import to_toml
from heatersel.quote import accounts as accounts_module
from heatersel.quote.accounts import Accounts
from heatersel.quote.document import document_data
from heatersel.quote.policy import demo_policy
from heatersel.quote.price_book import demo_price_book
from heatersel.quote.record import quote_record
from heatersel.quote.register import Register

UNKNOWN = "6f1f7b0c-52d1-4f0e-9d0b-3c2c5a7e8d10"
WORD = "copper kettle river moon"
START = dt.datetime(2026, 11, 20, 8, 0, tzinfo=dt.UTC)
PEOPLE = {"Pat": "plumber", "Other": "plumber", "Rev": "reviewer", "Boss": "manager"}


class Clock:
    def __init__(self):
        self.time = START

    def __call__(self):
        return self.time


@pytest.fixture(autouse=True)
def quick_hashes(monkeypatch):
    """Cheap hashes: what they cost is tested elsewhere."""
    cheap = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(accounts_module, "_hasher", lambda: cheap)
    accounts_module._nobody.cache_clear()


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def register(place):
    with Register.open(place) as opened:
        known = Accounts(opened)
        for name, role in PEOPLE.items():
            known.add(name, WORD, role, by="", at=START)
        yield opened


@pytest.fixture
def app(register, clock):
    return create_company_app(
        Company(register=register, policy=demo_policy(), book=demo_price_book,
                heaters=load_heaters(), now=clock)
    )  # fmt: skip


def guard_in(page):
    return re.search(r'name="guard" value="([^"]+)"', page.get_data(as_text=True))[1]


class Person:
    """A browser in which somebody is signed in."""

    def __init__(self, app, name):
        self.client = app.test_client()
        reply = self.client.post("/sign-in", data={"name": name, "password": WORD})
        assert reply.status_code == 303
        self.guard = guard_in(self.client.get("/"))

    def get(self, path):
        return self.client.get(path)

    def post(self, path, **form):
        return self.client.post(path, data={"guard": self.guard} | form)


@pytest.fixture
def person(app):
    return lambda name: Person(app, name)


@pytest.fixture
def quote_by(register, record_of, quote_of):
    data = document_data(quote_of())

    def store(by, **changes):
        record = record_of(f"House of {by}", by=by, **changes)
        return register.add(record, at=START, by=by, document=data)

    return store


# ---- who gets in


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/quotes/new",
        "/policy",
        "/review",
        "/accounts",
        "/trail",
        "/password",
        f"/quotes/{UNKNOWN}",
        f"/quotes/{UNKNOWN}/quote.pdf",
    ],
)
def test_nothing_is_shown_before_signing_in(app, path):
    reply = app.test_client().get(path)
    assert (reply.status_code, reply.location) == (303, "/sign-in")


@pytest.mark.parametrize("path", ["/sign-out", "/accounts", "/quotes/new", "/password"])
def test_nothing_can_be_sent_before_signing_in(app, path):
    assert app.test_client().post(path, data={"guard": ""}).status_code == 303


def test_a_wrong_password_and_an_unknown_name_read_the_same(app):
    pages = [
        app.test_client().post("/sign-in", data={"name": name, "password": "wrong wrong wrong"})
        for name in ("Pat", "Nobody")
    ]
    assert [page.status_code for page in pages] == [401, 401]
    assert pages[0].data == pages[1].data


def test_an_account_rests_after_five_wrong_tries(app, clock):
    client = app.test_client()
    for _ in range(5):
        client.post("/sign-in", data={"name": "Pat", "password": "wrong wrong wrong"})
    right = {"name": "Pat", "password": WORD}
    assert client.post("/sign-in", data=right).status_code == 401
    clock.time += dt.timedelta(minutes=16)
    assert client.post("/sign-in", data=right).status_code == 303


def test_a_session_that_somebody_planted_is_never_taken_over(app):
    client = app.test_client()
    client.set_cookie("heatersel_session", "planted-by-somebody-else")
    reply = client.post("/sign-in", data={"name": "Pat", "password": WORD})
    given = re.search(r"heatersel_session=([^;]+)", reply.headers["Set-Cookie"])[1]
    assert given != "planted-by-somebody-else"
    thief = app.test_client()
    thief.set_cookie("heatersel_session", "planted-by-somebody-else")
    assert thief.get("/").status_code == 303


def test_signing_in_again_ends_the_session_before(app):
    client = app.test_client()
    form = {"name": "Pat", "password": WORD}
    first = client.post("/sign-in", data=form).headers["Set-Cookie"]
    client.post("/sign-in", data=form)
    old = app.test_client()
    old.set_cookie("heatersel_session", re.search(r"session=([^;]+)", first)[1])
    assert old.get("/").status_code == 303


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(app):
    reply = app.test_client().post("/sign-in", data={"name": "Pat", "password": WORD})
    cookie = reply.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


def test_behind_https_the_cookie_is_sent_by_https_only(register, clock):
    app = create_company_app(
        Company(register=register, policy=demo_policy(), book=demo_price_book,
                heaters=load_heaters(), now=clock, secure=True)
    )  # fmt: skip
    reply = app.test_client().post(
        "/sign-in", data={"name": "Pat", "password": WORD},
        headers={"Origin": "https://localhost"},
    )  # fmt: skip
    assert "Secure" in reply.headers["Set-Cookie"]


def test_signing_out_and_an_idle_hour_end_a_session(person, clock):
    pat = person("Pat")
    assert pat.post("/sign-out").location == "/sign-in"
    assert pat.get("/").status_code == 303
    rev = person("Rev")
    clock.time += dt.timedelta(minutes=61)
    assert rev.get("/").status_code == 303


def test_a_reviewer_sees_what_waits_and_why(person, quote_by):
    quote_id = quote_by("Pat", second_opinion=["offer B costs more than 9,000"])
    rev = person("Rev")
    text = rev.get("/review").get_data(as_text=True)
    assert f"/quotes/{quote_id}" in text
    assert "offer B costs more than 9,000" in text
    rev.post(f"/quotes/{quote_id}/review", verdict="approved")
    assert quote_id not in rev.get("/review").get_data(as_text=True)


# ---- forms of ours only


def test_a_form_without_the_right_word_does_nothing(person, quote_by, register):
    pat, quote_id = person("Pat"), quote_by("Pat")
    for word in ("", "guess", person("Boss").guard):
        reply = pat.client.post(
            f"/quotes/{quote_id}/answer", data={"guard": word, "state": "declined"}
        )
        assert reply.status_code == 403
    assert register.get(quote_id, START.date()).state == "offered"


@pytest.mark.parametrize(
    "headers", [{"Origin": "https://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}]
)
def test_a_form_from_another_site_is_refused_even_with_the_word(person, quote_by, headers):
    pat, quote_id = person("Pat"), quote_by("Pat")
    reply = pat.client.post(f"/quotes/{quote_id}/answer", headers=headers,
                            data={"guard": pat.guard, "state": "declined"})  # fmt: skip
    assert reply.status_code == 403


def test_nobody_is_signed_in_by_another_site(app):
    reply = app.test_client().post("/sign-in", data={"name": "Pat", "password": WORD},
                                   headers={"Origin": "https://elsewhere.example"})  # fmt: skip
    assert reply.status_code == 403
    assert "Set-Cookie" not in reply.headers


# ---- each role, each action. What is allowed is written out here, not read from the program.

ROLE_TABLE = {
    "see own": ("Pat", "Rev", "Boss"), "see others'": ("Rev", "Boss"),
    "answer own": ("Pat", "Rev", "Boss"), "answer others'": ("Rev", "Boss"),
    "print own": ("Pat", "Rev", "Boss"), "print others'": ("Rev", "Boss"),
    "review others'": ("Rev", "Boss"), "review own": (),
    "make": ("Pat", "Rev", "Boss"), "see policy": ("Pat", "Rev", "Boss"),
    "see what waits": ("Rev", "Boss"), "see accounts": ("Boss",),
    "change accounts": ("Boss",), "see trail": ("Boss",),
}  # fmt: skip


def attempt(somebody, action, ids):
    own, others = (f"/quotes/{ids[key]}" for key in ("own", "others"))
    path = own if action.endswith("own") else others
    steps = {
        "see own": lambda: somebody.get(path), "see others'": lambda: somebody.get(path),
        "answer own": lambda: somebody.post(f"{path}/answer", state="declined"),
        "answer others'": lambda: somebody.post(f"{path}/answer", state="declined"),
        "print own": lambda: somebody.get(f"{path}/quote.pdf"),
        "print others'": lambda: somebody.get(f"{path}/quote.pdf"),
        "review own": lambda: somebody.post(f"{path}/review", verdict="approved"),
        "review others'": lambda: somebody.post(f"{path}/review", verdict="approved"),
        "see what waits": lambda: somebody.get("/review"),
        "make": lambda: somebody.get("/quotes/new"), "see policy": lambda: somebody.get("/policy"),
        "see accounts": lambda: somebody.get("/accounts"),
        "change accounts": lambda: somebody.post("/accounts", what="change", name="Other",
                                                 role="reviewer", active="yes"),
        "see trail": lambda: somebody.get("/trail"),
    }  # fmt: skip
    return steps[action]()


@pytest.mark.parametrize("name", ["Pat", "Rev", "Boss"])
@pytest.mark.parametrize("action", ROLE_TABLE)
def test_each_role_may_do_what_it_may_and_nothing_else(person, quote_by, action, name):
    ids = {"own": quote_by(name), "others": quote_by("Other")}
    status = attempt(person(name), action, ids).status_code
    if name in ROLE_TABLE[action]:
        assert status in (200, 303)
    else:
        assert status in (400, 403, 404)


def test_an_account_that_rests_is_out_at_once(person, quote_by):
    pat, boss = person("Pat"), person("Boss")
    boss.post("/accounts", what="change", name="Pat", role="plumber", active="no")
    assert pat.get("/").status_code == 303


def test_a_role_cannot_be_given_by_a_form_of_ones_own(person, register):
    person("Pat").post("/accounts", what="change", name="Pat", role="manager", active="yes")
    assert {account.name: account.role for account in Accounts(register).all()}["Pat"] == "plumber"


# ---- no path to another's quote


def test_another_ones_quote_answers_like_one_that_does_not_exist(person, quote_by):
    pat, theirs = person("Pat"), quote_by("Other")
    for end in ("", "/quote.pdf"):
        real, none = (pat.get(f"/quotes/{i}{end}") for i in (theirs, uuid.uuid4()))
        assert (real.status_code, real.data) == (none.status_code, none.data)
        assert real.status_code == 404


@pytest.mark.parametrize("guess", ["1", "a" * 4, "..", "%2e%2e", "0" * 36, "' or 1=1 --", "%"])
def test_a_guessed_id_finds_nothing(person, quote_by, guess):
    quote_by("Other")
    assert person("Boss").get(f"/quotes/{guess}").status_code in (308, 404)


def test_the_start_of_an_id_is_not_enough_on_the_server(person, quote_by):
    quote_id = quote_by("Pat")
    assert person("Pat").get(f"/quotes/{quote_id[:8]}").status_code == 404


def test_a_plumber_lists_own_quotes_only_whatever_is_searched(person, quote_by):
    quote_by("Pat")
    quote_by("Other")
    for path in ("/", "/?words=House", "/?words=Other", "/?state=offered", "/?page=0"):
        assert "House of Other" not in person("Pat").get(path).get_data(as_text=True)
    assert "House of Other" in person("Rev").get("/").get_data(as_text=True)


# ---- quotes


def test_a_job_file_becomes_the_quote_that_command_line_and_api_make(
    person, register, quote_of, test_house
):
    job = io.BytesIO(to_toml(parse_job(test_house)).encode())
    reply = person("Pat").post("/quotes/new", job=(job, "job.toml"), offers="", reasons="")
    assert reply.status_code == 303, reply.get_data(as_text=True)
    entry = register.get(reply.location.rsplit("/", 1)[1], START.date())
    assert entry.record == quote_record(quote_of(by="Pat"))


def test_a_file_that_is_no_job_is_refused_in_a_sentence(person):
    pat = person("Pat")
    for content, said in ((b"= =", "not TOML"), (b"\xff", "not TOML"), (b"a = 1", "household")):
        reply = pat.post("/quotes/new", job=(io.BytesIO(content), "job.toml"))
        assert reply.status_code == 400
        assert said in reply.get_data(as_text=True)
    large = pat.post("/quotes/new", job=(io.BytesIO(b"x" * 400_000), "job.toml"))
    assert large.status_code == 413


def test_a_quote_leaves_once_reviewed_where_the_policy_says_so(person, quote_by):
    quote_id = quote_by("Pat", reviewed_only=True)
    pat, rev = person("Pat"), person("Rev")
    paper = f"/quotes/{quote_id}/quote.pdf"
    assert pat.get(paper).status_code == 400
    assert "once a colleague has approved" in pat.get(f"/quotes/{quote_id}").get_data(as_text=True)
    rev.post(f"/quotes/{quote_id}/review", verdict="approved")
    reply = pat.get(paper)
    assert reply.mimetype == "application/pdf"
    assert "Hot water" in PdfReader(io.BytesIO(reply.data)).pages[0].extract_text()


def test_answers_are_entered_under_the_name_of_who_is_signed_in(person, quote_by, register):
    quote_id = quote_by("Pat")
    person("Pat").post(f"/quotes/{quote_id}/answer", state="accepted", option="A", note="signed")
    entry = register.get(quote_id, START.date())
    assert (entry.state, entry.events[-1].by_name) == ("accepted", "Pat")


def test_an_answer_that_cannot_be_is_told_in_a_sentence(person, quote_by):
    reply = person("Pat").post(f"/quotes/{quote_by('Pat')}/answer", state="accepted", option="Z")
    assert reply.status_code == 400
    assert "name the offer that was signed" in reply.get_data(as_text=True)


# ---- hostile words, headers, trail


def test_hostile_words_are_words_on_every_page(person, quote_by, register, record_of):
    hostile = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
    record = record_of(hostile, by="Pat", place=hostile[:80])
    quote_id = register.add(record, at=START, by="Pat")
    register.tell(quote_id, "declined", at=START, by=hostile, note=hostile)
    boss = person("Boss")
    for path in ("/", f"/quotes/{quote_id}", "/trail", f"/?words={hostile}"):
        text = boss.get(path).get_data(as_text=True)
        assert "<script" not in text
        assert "<img" not in text


def test_every_answer_carries_its_guards(app, person):
    for reply in (app.test_client().get("/sign-in"), person("Boss").get("/"),
                  person("Boss").get("/none")):  # fmt: skip
        policy = reply.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "script" not in policy
        assert reply.headers["X-Frame-Options"] == "DENY"
        assert reply.headers["Cache-Control"] == "no-store"


def test_the_trail_tells_what_was_done_and_what_was_refused(person, quote_by):
    theirs, mine = quote_by("Other"), quote_by("Pat")
    pat = person("Pat")
    pat.get(f"/quotes/{theirs}")
    pat.get("/trail")
    pat.get(f"/quotes/{mine}/quote.pdf")
    text = person("Boss").get("/trail").get_data(as_text=True)
    for told in (f"quote {theirs}", "see_trail /trail", "print", mine):
        assert told in text


def test_a_password_is_changed_with_the_present_one_only(app, person):
    pat = person("Pat")
    new = "seven brass taps dripping"
    assert pat.post("/password", present="wrong wrong wrong", new=new).status_code == 400
    assert pat.post("/password", present=WORD, new="short").status_code == 400
    assert pat.post("/password", present=WORD, new=new).status_code == 303
    assert pat.get("/").status_code == 303
    reply = app.test_client().post("/sign-in", data={"name": "Pat", "password": new})
    assert reply.status_code == 303


def test_trouble_inside_says_nothing_of_the_inside(app, person, monkeypatch):
    def broken(*_, **__):
        raise RuntimeError("secret path")

    boss = person("Boss")
    monkeypatch.setattr(Register, "search", broken)
    reply = boss.get("/")
    assert reply.status_code == 500
    assert b"secret path" not in reply.data


def test_every_field_has_its_label_and_every_page_its_language(person, quote_by):
    boss = person("Boss")
    quote_id = quote_by("Pat")
    for path in ("/", "/quotes/new", "/accounts", "/password", f"/quotes/{quote_id}"):
        text = boss.get(path).get_data(as_text=True)
        assert '<html lang="en">' in text
        labelled = set(re.findall(r'<label for="([^"]+)"', text))
        fields = re.findall(r"<(?:input|select|textarea)(?![^>]*hidden)[^>]*>", text)
        ids = {re.search(r'id="([^"]+)"', field)[1] for field in fields}
        assert ids == labelled


def test_a_state_nobody_knows_is_told_in_a_sentence(person):
    assert person("Boss").get("/?state=lost").status_code == 400


def test_the_unknown_account_is_told(person):
    reply = person("Boss").post("/accounts", what="change", name="Nobody", active="yes")
    assert "an account of this register" in reply.get_data(as_text=True)
