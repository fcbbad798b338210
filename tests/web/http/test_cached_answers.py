"""Kept answers: the very same body is computed once, nothing else is ever served, and memory stays bounded."""

import dataclasses
import threading

from service.web.http.app import create_app
from service.web.http.cached_answers import CachedAnswers
from tests.web import toy


def test_the_same_body_is_computed_once_and_a_refused_one_never_kept():
    asked = []

    def counted(request):
        asked.append(request)
        return toy.pack(request)

    client = create_app([dataclasses.replace(toy.PACK, compute=counted)]).test_client()
    answers = [client.post(toy.PACK.path, json=toy.example()) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [200] * 3
    assert len({answer.data for answer in answers}) == 1
    assert len(asked) == 1
    assert [client.post(toy.PACK.path, json={}).status_code for _ in range(2)] == [422, 422]


def test_a_kept_answer_comes_back_for_its_own_key_and_body_only():
    kept = CachedAnswers()
    kept.put("level", b"{1}", b"one")
    assert kept.get("level", b"{1}") == b"one"
    assert kept.get("level", b"{1} ") is None
    assert kept.get("advice", b"{1}") is None


def test_the_one_asked_for_longest_ago_goes_first():
    kept = CachedAnswers(most_bytes=30, largest_bytes=30)
    for body in (b"a" * 5, b"b" * 5, b"c" * 5):
        kept.put("level", body, b"x" * 5)  # 10 bytes each: three fit
    kept.get("level", b"a" * 5)
    kept.put("level", b"d" * 5, b"x" * 5)
    held = [letter for letter in (b"a", b"b", b"c", b"d") if kept.get("level", letter * 5)]
    assert held == [b"a", b"c", b"d"]


def test_a_long_answer_is_not_kept():
    kept = CachedAnswers(most_bytes=1000, largest_bytes=20)
    kept.put("modes", b"body", b"x" * 17)
    assert kept.get("modes", b"body") is None


def test_many_threads_keep_the_books_straight():
    kept = CachedAnswers(most_bytes=2000, largest_bytes=100)

    def work(seed):
        for index in range(500):
            body = b"%d" % ((seed * 7 + index) % 90)
            answer = kept.get("level", body)
            assert answer in (None, body * 10)
            kept.put("level", body, body * 10)

    threads = [threading.Thread(target=work, args=(seed,)) for seed in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    held = [b"%d" % n for n in range(90) if kept.get("level", b"%d" % n)]
    assert held
    assert sum(len(body) * 11 for body in held) <= 2000
