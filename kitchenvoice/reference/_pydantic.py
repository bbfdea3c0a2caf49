"""Import pydantic without its plug-ins: looking for them costs a tenth of a start, and none may touch the tables."""

from __future__ import annotations

import os

os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

from pydantic import BaseModel, ConfigDict, Field, model_validator

__all__ = ["BaseModel", "ConfigDict", "Field", "model_validator"]
