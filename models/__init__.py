"""The types everything else speaks in: frozen pydantic models that import nothing of ours."""
