"""A tiny BERT with chance weights and what the package transformers works out of it: `reference_encoder.npz`.

    python -m tests.judge.reference_encoder

Needs torch and transformers (the file was made with transformers 5.24), which earwitness itself does not.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

REFERENCE = Path(__file__).with_name("reference_encoder.npz")
PIECES = ((3, 1, 4, 1, 5, 9, 2, 6), (5, 3, 5), (8,))
"""Three passages of a vocabulary of twelve pieces."""
HEADS = 2


def main() -> None:
    """Write the weights under the names that the encoder reads, and the last layer's output for each passage."""
    import torch
    from transformers import BertConfig, BertModel

    from tests.learn.claims import encoder_arrays

    torch.manual_seed(4)
    config = BertConfig(
        vocab_size=12,
        hidden_size=8,
        num_hidden_layers=2,
        num_attention_heads=HEADS,
        intermediate_size=16,
        initializer_range=0.7,
        max_position_embeddings=16,
        hidden_act="gelu_pytorch_tanh",
    )
    model = BertModel(config, add_pooling_layer=False).eval()
    arrays = dict(encoder_arrays(model, HEADS))
    # Weights are rounded to int8 before both sides use them, so that rounding is no part of the comparison.
    state = model.state_dict()
    with torch.no_grad():
        for theirs, ours in _weights(len(model.encoder.layer)):
            whole = arrays[f"{ours}.weight"].astype(np.float32) * arrays[f"{ours}.scale"][:, None]
            state[theirs].copy_(torch.from_numpy(whole))
        for number, pieces in enumerate(PIECES):
            arrays[f"output{number}"] = model(input_ids=torch.tensor([pieces])).last_hidden_state[0].numpy()
    np.savez_compressed(REFERENCE, **arrays)


def _weights(layers: int) -> list[tuple[str, str]]:
    from tests.learn.claims import PARTS

    pairs = [("embeddings.word_embeddings.weight", "words")]
    for number in range(layers):
        pairs += [(f"encoder.layer.{number}.{part}.weight", f"layer{number}.{name}") for part, name in PARTS.items()]
    return pairs


if __name__ == "__main__":
    main()
