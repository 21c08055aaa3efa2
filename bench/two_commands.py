"""The smallest useful program of two commands: what `provand --help` is measured against."""

import typer

app = typer.Typer()


@app.command()
def add(first: int, second: int) -> None:
    """Print a sum."""
    print(first + second)


@app.command()
def greet(name: str) -> None:
    """Print a greeting."""
    print(f"Hello, {name}.")


if __name__ == "__main__":
    app()
