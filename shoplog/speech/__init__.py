"""Hearing: weights, voice activity, recognition, distrust. Only this package and `media` touch recordings."""

from __future__ import annotations

from shoplog.speech.parts import Part, join
from shoplog.speech.recognise import Settings, hear, hear_parts

__all__ = ["Part", "Settings", "hear", "hear_parts", "join"]
