from companion.knowledge.loading import Knowledge
from companion.knowledge.mixture_pairs import read_pair_remedies
from companion.shell.knowledge_files import read_data_file

ROW = """
[[pair]]
of = ["R-22", "R-124"]
gamma_t = 0.97
cite = { source = "own-sums", at = "fitted", mark = "computed" }
"""


def test_the_shipped_pairs(knowledge: Knowledge) -> None:
    found = read_pair_remedies(read_data_file("mixture_pairs.toml"), knowledge.sources)
    assert isinstance(found, list)
    assert len(found) == 16
    assert len({frozenset((each.one, each.other)) for each in found}) == 16
    assert all(0.8 < each.gamma_t < 1.2 for each in found)


def test_a_pair_is_two_with_a_known_source(knowledge: Knowledge) -> None:
    assert isinstance(read_pair_remedies(ROW, knowledge.sources), list)
    for wrong, key in (
        (ROW.replace(', "R-124"', ""), "pair.0.of"),
        (ROW.replace("own-sums", "nobody"), "pair.0.cite"),
        (ROW.replace("gamma_t", "gamma"), "pair.0.gamma_t"),
    ):
        found = read_pair_remedies(wrong, knowledge.sources)
        assert isinstance(found, tuple)
        assert key in {fault.key for fault in found}
