"""Two traces of one scenario over time in one picture."""

import matplotlib

matplotlib.use("Agg")  # draws into a file; needs no screen
import matplotlib.pyplot as plt  # noqa: E402

# What CheckService.Replay is asked for; the header of the trace tells the units.
SIGNALS = ["time", "hand_travel", "pedal_force", "demand", "pressure_front", "deceleration"]

# Told apart without colour, too: a broad solid line, and a thin dashed one with markers.
RELEASED = {"color": "#9a9a9a", "linewidth": 3.2, "linestyle": "-"}
VARIANT = {"color": "#b03a00", "linewidth": 1.3, "linestyle": "--", "marker": "o", "markersize": 4.5,
           "markerfacecolor": "white"}  # fmt: skip
REQUEST = {"color": "#1b4f8a", "linewidth": 1.1, "linestyle": ":"}
MARKER_SPACING = 0.06  # along the curve, so that steep parts get some, too
LEAST_TRAVEL_MM = 1


def _request(trace):
    """The signal through which the driver asked, and what to call it. A recorded control at rest still jitters."""
    by_hand = max(trace["hand_travel"]) >= LEAST_TRAVEL_MM
    return ("hand_travel", "hand travel") if by_hand else ("pedal_force", "pedal force")


def draw(file, title, units, released, variant, names):
    """Writes a PNG. `released` and `variant`: {signal: values}; `names`: what the legend calls them."""
    figure, (asked, pressure, slowing) = plt.subplots(3, 1, sharex=True, figsize=(10, 8.5), constrained_layout=True)
    figure.suptitle(title)
    signal, spoken = _request(released)
    # Behind the curves: what the person did. It is the same for both, unless only one replay went on for longer.
    person = asked.twinx()
    longer = max(released, variant, key=lambda trace: len(trace["time"]))
    person.plot(longer["time"], longer[signal], label=f"{spoken}, right scale", **REQUEST)
    person.set_ylabel(f"{spoken} ({units[signal]})")
    for axes, name, text in (
        (asked, "demand", "request:\ndemanded pressure"),
        (pressure, "pressure_front", "front circuit\npressure"),
        (slowing, "deceleration", "deceleration"),
    ):
        axes.plot(released["time"], released[name], label=names[0], **RELEASED)
        axes.plot(variant["time"], variant[name], label=names[1], markevery=MARKER_SPACING, **VARIANT)
        axes.set_ylabel(f"{text} ({units[name]})".replace("m/s^2", "m/s²"))
        axes.grid(True, color="#e4e4e4")
        axes.margins(x=0.01)
    lines = asked.get_legend_handles_labels(), person.get_legend_handles_labels()
    asked.legend(lines[0][0] + lines[1][0], lines[0][1] + lines[1][1], loc="lower center", bbox_to_anchor=(0.5, 1.01),
                 ncol=3, frameon=False)  # fmt: skip
    slowing.set_xlabel(f"time since the start of the replay ({units['time']})")
    figure.savefig(file, dpi=110)
    plt.close(figure)
