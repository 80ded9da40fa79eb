"""Tests that are not about the doors are signed in as the owner."""

from __future__ import annotations

import pytest
from flask import Flask
from signed_in import OwnerClient


@pytest.fixture(scope="session", autouse=True)
def _signed_in() -> None:
    Flask.test_client_class = OwnerClient
