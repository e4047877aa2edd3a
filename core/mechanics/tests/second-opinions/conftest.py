"""Asks the `answers` program, and keeps all random inputs reproducible."""

import json
import os
import subprocess

import numpy as np
import pytest


class Refused(Exception):
    """The library refused the numbers."""


class Ask:
    """Puts questions to `answers`, many at once."""

    def __init__(self, program):
        self.program = program

    def raw(self, questions):
        """One dictionary per question: {"answer": ...} or {"refused": "why"}."""
        lines = "".join(json.dumps(question) + "\n" for question in questions)
        done = subprocess.run(
            [self.program], input=lines, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        answers = [json.loads(line) for line in done.stdout.splitlines()]
        assert len(answers) == len(questions)
        return answers

    def all(self, questions):
        """The answers; a refusal is an error of the check."""
        questions = list(questions)
        answers = self.raw(questions)
        for question, answer in zip(questions, answers):
            if "refused" in answer:
                raise Refused(f"{answer['refused']}: {question}")
        return [answer["answer"] for answer in answers]

    def __call__(self, name, **fields):
        return self.all([{"ask": name, **fields}])[0]


@pytest.fixture(scope="session")
def ask():
    return Ask(os.environ["FALLAWAY_ANSWERS"])


@pytest.fixture
def rng(request):
    """Random numbers that depend on the name of the check only."""
    return np.random.default_rng(list(request.node.name.encode()))
