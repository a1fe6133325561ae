"""Ctrl-C inside a compiled kernel is Ctrl-C."""

import pytest

from slowflight.flow.compiled import interruptible


def test_an_interrupt_in_a_kernel_comes_out_as_one() -> None:
    with pytest.raises(KeyboardInterrupt), interruptible():
        raise SystemError("a kernel returned a result with an exception set") from KeyboardInterrupt()


def test_an_interrupt_deeper_down_too() -> None:
    inner = SystemError("numba's own helper returned a result with an exception set")
    inner.__cause__ = KeyboardInterrupt()
    with pytest.raises(KeyboardInterrupt), interruptible():
        raise SystemError("the kernel as well") from inner


def test_any_other_system_error_stays() -> None:
    with pytest.raises(SystemError, match="of another kind"), interruptible():
        raise SystemError("of another kind")
