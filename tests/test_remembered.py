"""What was last computed, remembered as far as there is room."""

from webapp.remembered import Remembered, Same


def test_the_value_not_asked_for_the_longest_is_forgotten_first() -> None:
    memory: Remembered[str, int] = Remembered(2)
    for key, value in (("a", 1), ("b", 2)):
        memory.put(key, value)
    assert memory.find("a") == 1
    memory.put("c", 3)
    assert [memory.find(key) for key in "abc"] == [1, None, 3]


def test_heavy_values_make_room_for_each_other() -> None:
    memory: Remembered[str, bytes] = Remembered(10, len)
    memory.put("a", b"1234")
    memory.put("b", b"1234")
    memory.put("a", b"12")  # written over: 6 bytes in all
    memory.put("c", b"1234")
    assert all(memory.find(key) for key in "abc")
    memory.put("d", b"123456")  # 16 bytes: a and b go, 10 are left
    assert [memory.find(key) for key in "abcd"] == [None, None, b"1234", b"123456"]


def test_the_same_values_are_one_key_and_equal_ones_are_not() -> None:
    one, other = [1], [1]
    assert Same((one, (other,))) == Same((one, (other,)))
    assert hash(Same((one, (other,)))) == hash(Same((one, (other,))))
    assert Same((one,)) != Same((other,))
    assert Same((one, (one,))) != Same((one, (other,)))
