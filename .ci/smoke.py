"""With nothing but the running set: every module is imported, one question is asked, the sheet is written."""

import importlib
import json
import pkgutil
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

import service  # noqa: E402

for module in pkgutil.walk_packages(service.__path__, "service."):
    if not module.name.endswith("__main__"):
        importlib.import_module(module.name)

from service.web.http.app import create_app  # noqa: E402

body = json.loads((ROOT / "demo_rooms/advice/flat_living_room.json").read_text(encoding="utf-8"))
client = create_app().test_client()
answer = client.post("/v1/advice", json=body)
assert answer.status_code == 200, answer.data
sheet = client.post("/v1/advice", json=body, headers={"Accept": "application/pdf"})
assert sheet.data.startswith(b"%PDF-"), sheet.data[:200]
print(f"Python {sys.version.split()[0]}: {answer.json['verdict']['headline']}")
