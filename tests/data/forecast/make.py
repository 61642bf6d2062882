"""Makes ranges.csv: the 5 % and 95 % points of negative binomial and Poisson counts.

    pip install scipy==1.17.1 && python make.py
"""

import pathlib

import scipy.stats

rows = ["distribution,size_or_mean,probability,low,high"]
for events in (0, 1, 3, 10, 52, 400, 5000):
    for weeks, ahead in ((26, 13), (8, 6)):
        size, probability = events + 0.5, weeks / (weeks + ahead)
        low, high = scipy.stats.nbinom.ppf([0.05, 0.95], size, probability)
        rows.append(f"nbinom,{size},{probability!r},{low:.0f},{high:.0f}")
for mean in (0.05, 0.5, 2.0, 10.0, 96.0, 650.0, 800.0, 20000.0):
    low, high = scipy.stats.poisson.ppf([0.05, 0.95], mean)
    rows.append(f"poisson,{mean},,{low:.0f},{high:.0f}")
(pathlib.Path(__file__).parent / "ranges.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
