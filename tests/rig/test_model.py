"""Models as a sign-off keeps them."""

from __future__ import annotations

import json

from lint.rig.model import Models, bundled_names, model_data


def test_what_a_sign_off_keeps_of_a_model_is_the_model_again() -> None:
    for name in bundled_names():
        model = Models(None).get(name)
        assert model is not None
        kept = json.loads(json.dumps({name: model_data(model)}))
        assert Models(None, kept).get(name) == model
        assert Models(None, kept).names() == [name]
        assert Models(None, kept).get("another") is None
