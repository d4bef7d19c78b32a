"""What follows from what was stated: pure functions with their formula, source and range of validity.

``derived`` has the shapes of a result; ``moisture``, ``shrinkage``, ``weight``, ``drying``, ``speed``, ``abrasives``,
``roughout`` and ``waits`` hold the formulas, ``cautions`` the safety remarks; ``project`` applies them to a project's
facts and ``before`` to a piece that is yet to be made.
"""

from shoplog.reckon.derived import CannotCompute, Derived, Input, NotComputed, Result

__all__ = ["CannotCompute", "Derived", "Input", "NotComputed", "Result"]
