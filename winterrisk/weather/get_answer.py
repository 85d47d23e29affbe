"""One answer of a free weather service: asked politely, waited for within a limit, not asked twice."""

import datetime as dt
import json
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from email.utils import parsedate_to_datetime
from importlib.metadata import PackageNotFoundError, version
from ipaddress import ip_address
from typing import Any, Final
from urllib.parse import urljoin, urlsplit

import numpy as np

from winterrisk.science.faults import Fault
from winterrisk.weather.refused import WeatherError

CONNECT_TIMEOUT, READ_TIMEOUT = 5.0, 20.0
"""Time-outs [s] (judged)."""
LARGEST: Final = 20_000_000
"""Largest answer that is read [bytes] (judged: a grid answer has some 300,000)."""
FIRST_PAUSE, LONGEST_PAUSE = 5.0, 120.0
"""Pause before the second attempt, doubled each time, and the longest [s]; the US service asks for about 5."""
PATIENCE: Final = 60.0
"""Time for which a failed request is repeated where the caller names none [s] (judged)."""
REDIRECTS: Final = 3
WORTH_WAITING: Final = (408, 425, 429, 500, 502, 503, 504)
_RETRIES: Final = 1
"""Repeats at once after a connection that broke while it was being made."""


@dataclass(frozen=True)
class Answer:
    """What a service answered: kept to ask no more often than it allows, and to ask only for changes."""

    url: str
    text: str
    received: str
    expires: str = ""
    last_modified: str = ""
    etag: str = ""
    status: int = 200
    again: bool = field(default=False, compare=False)
    """Whether it was known before: not yet expired, or not changed."""

    @property
    def content(self) -> Any:
        """The JSON in it."""
        return json.loads(self.text)

    def fresh(self, now: np.datetime64) -> bool:
        """Whether the service said that nothing newer is to be had before a later instant."""
        return bool(self.expires) and np.datetime64(now) < np.datetime64(self.expires)

    @property
    def kept(self) -> dict[str, Any]:
        """All of it as plain values, for the archive."""
        names = ("url", "text", "received", "expires", "last_modified", "etag", "status")
        return {name: getattr(self, name) for name in names}


class _TryAgainError(Exception):
    """An attempt that failed in a way that may pass."""

    def __init__(self, words: str, pause: float | None = None) -> None:
        super().__init__(words)
        self.pause = pause


def get_answer(
    url: str,
    *,
    service: str,
    contact: str,
    base: str,
    last: Answer | None = None,
    patience: float = PATIENCE,
    first_pause: float = FIRST_PAUSE,
    read_timeout: float = READ_TIMEOUT,
    accept: str = "application/json",
    refusals: Mapping[int, str] | None = None,
    doubt: Callable[[Answer], str] | None = None,
) -> Answer:
    """The answer at a url, JSON; the last one again where it has not expired or changed.

    Failures that may pass (no connection, no answer in time, 429, 5xx, text that is no JSON) are repeated
    within `patience` [s], after the pause the service names or a doubling one.

    Args:
        service: its name for messages; contact: e-mail or web address of the course, told to the service.
        base: start of the service's addresses: https, or a loopback address; nothing else is asked.
        last: what it answered before to the same url. first_pause, read_timeout [s].
        refusals: what to do next, by status that no waiting helps.
        doubt: words where an answer should be asked for again while there is time, else empty.
    Raises:
        WeatherError: no contact, a refusal, or nothing usable in time; the last reason in words.
    """
    _refuse_contact(contact, service)
    _refuse_address(url, base, service)
    if last is not None and (last.url != url or not last.text):
        last = None
    if last is not None and last.fresh(_now()):
        return _again(last)
    ends, pause, in_doubt, words = time.monotonic() + patience, first_pause, None, ""
    while True:
        try:
            answer = _attempt(url, service, contact, base, last, read_timeout, accept, refusals or {}, ends)
            words = doubt(answer) if doubt else ""
            if not words:
                return answer
            in_doubt, wait = answer, pause
        except _TryAgainError as fault:
            words, wait = str(fault), max(fault.pause or 0.0, pause)
        if time.monotonic() + wait > ends:
            break
        time.sleep(wait)
        pause = min(2.0 * pause, LONGEST_PAUSE)
    if in_doubt is not None:
        return in_doubt
    raise WeatherError(Fault(service, words, f"a forecast from {base}", "it is asked again at the next run"))


def _attempt(
    url: str,
    service: str,
    contact: str,
    base: str,
    last: Answer | None,
    read_timeout: float,
    accept: str,
    refusals: Mapping[int, str],
    ends: float,
) -> Answer:
    import requests
    from requests.adapters import HTTPAdapter
    from urllib3.exceptions import HTTPError, ReadTimeoutError
    from urllib3.util.retry import Retry

    headers = {"User-Agent": user_agent(contact), "Accept": accept}
    if last is not None and last.last_modified:
        headers["If-Modified-Since"] = last.last_modified
    if last is not None and last.etag:
        headers["If-None-Match"] = last.etag
    retry = Retry(
        total=_RETRIES, connect=_RETRIES, read=False, status=0, redirect=0, other=0, backoff_factor=0.2,
        respect_retry_after_header=False,
    )  # fmt: skip
    with requests.Session() as session:
        session.trust_env = not _is_loopback(base)
        session.mount("https://", HTTPAdapter(max_retries=retry))
        session.mount("http://", HTTPAdapter(max_retries=retry))
        there = url
        try:
            for _ in range(REDIRECTS + 1):
                response = session.get(
                    there,
                    headers=headers,
                    timeout=(CONNECT_TIMEOUT, read_timeout),
                    allow_redirects=False,
                    stream=True,
                )
                if not response.is_redirect:
                    break
                there = urljoin(there, response.headers["Location"])
                _refuse_address(there, base, service)
            else:
                raise _TryAgainError("one redirection after another")
            body = _body(response, max(ends, time.monotonic() + read_timeout))
        except (requests.exceptions.Timeout, ReadTimeoutError) as fault:
            raise _TryAgainError("no answer in time") from fault
        except (requests.exceptions.RequestException, HTTPError) as fault:
            raise _TryAgainError(f"no connection ({type(fault).__name__})") from fault
    return _answer(url, response.status_code, response.headers, body, last, service, refusals)


def _body(response: Any, ends: float) -> bytes:
    parts, size = [], 0
    while part := response.raw.read1(65536, decode_content=True):
        parts.append(part)
        size += len(part)
        if size > LARGEST:
            raise _TryAgainError(f"an answer of more than {LARGEST // 1_000_000} MB")
        if time.monotonic() > ends:
            raise _TryAgainError("an answer that does not end")
    return b"".join(parts)


def _answer(
    url: str,
    status: int,
    headers: Mapping[str, str],
    body: bytes,
    last: Answer | None,
    service: str,
    refusals: Mapping[int, str],
) -> Answer:
    if status == 304 and last is not None:
        return _again(last, _expiry(headers) or last.expires)
    text = body.decode("utf-8", "replace")
    if status in WORTH_WAITING:
        raise _TryAgainError(f"status {status}{_reason(text)}", _retry_after(headers))
    if not 200 <= status < 300:
        move = refusals.get(status, "see whether a newer version of this program knows the service's rules")
        raise WeatherError(Fault(service, f"status {status}{_reason(text)}", "an answer", move))
    try:
        if not isinstance(json.loads(text), dict):
            raise ValueError
    except ValueError as fault:
        raise _TryAgainError("something that is no JSON (a web page, or an answer cut short)") from fault
    return Answer(
        url=url,
        text=text,
        received=str(_now()),
        expires=_expiry(headers),
        last_modified=headers.get("Last-Modified", ""),
        etag=headers.get("ETag", ""),
        status=status,
    )


def _again(last: Answer, expires: str | None = None) -> Answer:
    kept = last.kept
    return Answer(**{**kept, "expires": last.expires if expires is None else expires}, again=True)


def user_agent(contact: str) -> str:
    """How the program names itself to a service: its version and the course's contact."""
    try:
        number = version("winterrisk")
    except PackageNotFoundError:
        number = "0"
    return f"winterrisk/{number} ({contact})"


def _now() -> np.datetime64:
    return np.datetime64(dt.datetime.now(dt.UTC).replace(tzinfo=None), "s")


def _expiry(headers: Mapping[str, str]) -> str:
    for part in headers.get("Cache-Control", "").split(","):
        name, _, value = part.strip().partition("=")
        if name in ("no-cache", "no-store"):
            return ""
        if name == "max-age" and value.isdigit():
            return str(_now() + np.timedelta64(int(value), "s"))
    when = _date(headers.get("Expires", ""))
    return str(when) if when is not None else ""


def _date(text: str) -> np.datetime64 | None:
    try:
        instant = parsedate_to_datetime(text)
    except (TypeError, ValueError):
        return None
    if instant.tzinfo is None:
        instant = instant.replace(tzinfo=dt.UTC)
    return np.datetime64(instant.astimezone(dt.UTC).replace(tzinfo=None), "s")


def _retry_after(headers: Mapping[str, str]) -> float | None:
    text = headers.get("Retry-After", "").strip()
    if text.isdigit():
        return float(text)
    when = _date(text)
    return None if when is None else max(float((when - _now()) / np.timedelta64(1, "s")), 0.0)


def _reason(text: str) -> str:
    try:
        told = json.loads(text)
    except ValueError:
        return ""
    if not isinstance(told, dict):
        return ""
    words = ": ".join(str(told[name]) for name in ("title", "detail") if told.get(name))
    return f", {words[:200]}" if words else ""


def _refuse_contact(contact: str, service: str) -> None:
    if "@" in contact or contact.startswith(("http://", "https://")):
        if contact.isascii() and contact.isprintable():
            return
        found = "letters the service cannot be told"
    else:
        found = repr(contact) if contact else "nothing"
    where = "course.toml: forecast.contact"
    move = f'{service} asks who is calling; write contact = "you@your-club.example"'
    raise WeatherError(Fault(where, found, "an e-mail or web address", move))


def _is_loopback(address: str) -> bool:
    host = urlsplit(address).hostname or ""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _refuse_address(url: str, base: str, service: str) -> None:
    there, ours = urlsplit(url), urlsplit(base)
    safe = there.scheme == "https" or (there.scheme == "http" and _is_loopback(base))
    if not safe or (there.scheme, there.hostname, there.port) != (ours.scheme, ours.hostname, ours.port):
        raise WeatherError(
            Fault(
                service, f"an address {url[:120]}", f"one at {base}", "nothing was asked there; report this"
            )
        )
