import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--rewrite-scenarios",
        action="store_true",
        help="write what comes out into the transcripts, to be reviewed as a diff",
    )
