"""Many cases of the same kind: described, computed on every core, kept by what they were computed from.

A case is a frozen description (``section_case``). Its result is kept in the project's ``runs`` folder under a
hash of all that it depends on (``store``), so a study that was stopped goes on where it was, and one whose
question has changed a little computes only what is new (``pool``).
"""
