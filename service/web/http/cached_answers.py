"""Answers that were just given, cached for the next visitor who asks the very same.

The same body gives the same answer, so a cached one is as good as a new one. A website's calculator sends its preset
question again and again.
"""

import threading
from collections import OrderedDict

MOST_BYTES = 16 * 1024 * 1024
"""Bodies and answers cached together; the one asked for longest ago goes first."""

LARGEST_BYTES = 256 * 1024
"""A longer pair of body and answer is not cached."""


class CachedAnswers:
    """Answers by key and body, safe for several threads."""

    def __init__(self, *, most_bytes=MOST_BYTES, largest_bytes=LARGEST_BYTES):
        self._most_bytes, self._largest_bytes = most_bytes, largest_bytes
        self._cached = OrderedDict()
        self._bytes = 0
        self._lock = threading.Lock()

    def get(self, key, body):
        """Return the answer to a body, or None where it is not cached."""
        with self._lock:
            answer = self._cached.get((key, body))
            if answer is not None:
                self._cached.move_to_end((key, body))
            return answer

    def put(self, key, body, answer):
        """Cache an answer, and drop the oldest ones beyond the bound."""
        size = len(body) + len(answer)
        if size > self._largest_bytes:
            return
        with self._lock:
            if (key, body) in self._cached:
                return
            self._cached[key, body] = answer
            self._bytes += size
            while self._bytes > self._most_bytes:
                (_, oldest), gone = self._cached.popitem(last=False)
                self._bytes -= len(oldest) + len(gone)
