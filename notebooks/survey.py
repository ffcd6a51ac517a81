"""What every notebook of the course begins with: the tables of a results folder, and the units that an estimate rests on.

headline.ipynb makes the same step by step, and says why.
"""

import io
import json
import os
import shutil
import subprocess

import numpy as np
import pandas as pd

OUT = os.path.abspath(os.environ.get("ASHTALLY_OUT", "../out"))  # the results folder

_command, _place = ["ashtally"], None
if shutil.which("ashtally") is None:
    _command, _place = ["go", "run", "./cmd/ashtally"], ".."

_NAMES = ["plot", "transect", "unit", "stratum", "site", "taxon", "fire_date", "years_since_fire", "warnings"]  # 007 is a name


def ashtally(*arguments):
    """Run the command with these arguments, and return what it printed."""
    return subprocess.run(_command + list(arguments), cwd=_place, check=True, capture_output=True, text=True).stdout


def show(table, out=OUT):
    """Return a table of the results folder, archived input or result, as a data frame. An empty cell is NaN."""
    return pd.read_csv(io.StringIO(ashtally("show", out, table)), keep_default_na=False, na_values=[""], dtype=dict.fromkeys(_NAMES, str))


def settings():
    """Return the settings that the results were made with."""
    with open(os.path.join(OUT, "run.json")) as record:
        return json.load(record)["settings"]


def target_finds():
    """Return the finds of the target taxa, with their year."""
    finds = show("finds")
    target = settings()["taxa"]["target"]
    return finds[finds.taxon.isin(target)].assign(year=lambda f: f.date.str[:4]) if target else finds.assign(year=finds.date.str[:4])


def searched_plots():
    """Return one row for each plot and year that was searched: area_ha is horizontal, cluster is the site or else the plot.

    Plots that were added beside a full one are left out, and roadside plots where the settings keep them apart.
    """
    plots = show("plots")
    taped = (np.pi * plots.radius_m**2).fillna(plots.length_m * plots.width_m).fillna(plots.area_m2)
    cosine = np.cos(np.arctan(plots.slope_percent.fillna(0) / 100)).where(plots.laid == "slope", 1)
    plots["area_ha"] = taped * cosine / 10_000
    plots["cluster"] = ("site " + plots.site).fillna("plot " + plots["plot"])
    visited = show("visits").assign(year=lambda v: v.date.str[:4])[["unit", "year"]].drop_duplicates()
    units = visited.merge(plots, left_on="unit", right_on="plot")
    units = units[units.added != "yes"]
    if settings()["density"]["roadside"] == "apart":
        roadside = units.roadside == "yes"
        units = units[~roadside | roadside.groupby(units.stratum).transform("all")]
    assert units.year.nunique() == 1, "these notebooks take a survey of one season"
    return units.reset_index(drop=True)


def with_counts(units, finds, **columns):
    """Add a column of counts for each name: the finds that a mask selects. A unit without such a find counts 0."""
    for name, mask in columns.items():
        counts = finds[mask].groupby(["unit", "year"])["count"].sum().rename(name).reset_index()
        units = units.merge(counts, how="left").fillna({name: 0})
    return units


def row(table, **groups):
    """Return the one row of a table with these values in its grouping columns."""
    for column, value in groups.items():
        table = table[table[column] == value]
    assert len(table) == 1, f"{len(table)} rows for {groups}"
    return table.iloc[0]
