"""What every test stands on: a user without settings of their own, in this process and in those that it starts."""

import pytest


@pytest.fixture(scope="session", autouse=True)
def _no_settings(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("no-settings")))
        yield
