"""How the tests of bad input ask."""

import json

JSON = "application/json"
ANY = object()
"""Stands for a part of a refusal that a row does not look at."""


def post(client, path, body):
    """Post a body as it stands when it is bytes, else as JSON."""
    data = body if isinstance(body, bytes) else json.dumps(body).encode()
    return client.post(path, data=data, content_type=JSON)
