"""Answers as the real one does, and misbehaves on request."""

import importlib
import json
import os
import random


def respond(text: str) -> str:
    """Do what the request says."""
    request = json.loads(text)
    match request["do"]:
        case "hello":
            return json.dumps({"version": "test"})
        case "raise":
            raise ValueError("raised on request")
        case "nan":
            return json.dumps({"value": float("nan")})
        case "die":
            os.abort()
        case "late":
            # By its name alone, so that no build can see it coming.
            return json.dumps({"late": importlib.import_module("wave").__name__})
        case "random":
            return json.dumps({"drawn": random.random()})
        case "count":
            return json.dumps({"counted": sum(1 for _ in range(request["to"]))})
    return text
