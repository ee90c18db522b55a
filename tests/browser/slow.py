"""A slow phone line, made by the browser itself, and what a page weighs and takes over it."""

from typing import Any, NamedTuple

# What Chromium holds back: bits a second each way, and milliseconds before every answer.
WEAK = {"down": 400_000, "up": 400_000, "delay": 300}
PHONE = {"down": 1_600_000, "up": 750_000, "delay": 150}
TIMES = """() => new Promise(told => {
    const tell = () => {
        const seen = performance.getEntriesByName('first-contentful-paint')[0]
        const way = performance.getEntriesByType('navigation')[0]
        if (seen && way.domContentLoadedEventEnd)
            told({read: seen.startTime, text: way.domContentLoadedEventEnd,
                  server: way.responseStart - way.requestStart, page: way.encodedBodySize})
        else setTimeout(tell, 20)
    }
    tell()
})"""


class Visit(NamedTuple):
    """Milliseconds to the first content, the whole text and the first byte; bytes on the wire."""

    read: float
    text: float
    server: float
    page: float
    weight: float

    @property
    def after_the_server(self) -> float:
        """To the first content without the server's own work: one delay of the line before it."""
        return self.read - self.server + PHONE["delay"]

    def __str__(self) -> str:
        return (
            f"readable after {self.read:.0f} ms (the server's first byte after {self.server:.0f}), "
            f"text whole after {self.text:.0f} ms; page {self.page / 1000:.1f} kB, everything "
            f"{self.weight / 1000:.1f} kB"
        )


def over(line: dict[str, int], page: Any) -> dict[str, float]:
    """Put the page on this line, nothing kept from before; the weights of what comes, to be."""
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    session.send("Network.setCacheDisabled", {"cacheDisabled": True})
    session.send(
        "Network.emulateNetworkConditions",
        {
            "offline": False,
            "latency": line["delay"],
            "downloadThroughput": line["down"] / 8,
            "uploadThroughput": line["up"] / 8,
        },
    )
    weights: dict[str, float] = {}
    session.on(
        "Network.loadingFinished",
        lambda done: weights.update({done["requestId"]: done["encodedDataLength"]}),
    )
    return weights


def visit(page: Any, address: str, line: dict[str, int]) -> Visit:
    """One visit over the line, until everything on the first screen is there."""
    weights = over(line, page)
    page.goto(address, wait_until="networkidle")
    return Visit(**page.evaluate(TIMES), weight=sum(weights.values()))
