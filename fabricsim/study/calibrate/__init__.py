"""What a measured swatch tells of its knitter's hands.

``calibrate`` takes what was measured (``design/swatch/measured.py``; ``design/swatch/check.py`` refuses what can't be
before anything is solved, ``design/swatch/form.py`` writes the empty file) and gives a knitter's file
(``design/scene/knitter.py``), which a scene holds as ``hands``. ``responses.py`` answers what hands with such a slack,
in fabric so stiff, would measure; ``misfit.py`` finds the guess that fits best, what was likely before (``prior.py``)
included, and ``posterior.py`` its intervals. Swatches are
knitted by the hand of the piece that a forecast shows (``study/hands``), so that the slack learnt is the mean that
forecasts ask for, and not that of floats all alike, which would be tighter.

- Slack, unevenness and what floats fall short are sought together, as a width tells but of all three; how slack goes
  with the other two is kept (``slack_goes``), so that forecasts of the same swatch are as sure as its width, no less.
  Only lengths of several floats tell unevenness (``scatter.py``: mean and chi-square variance), only floats of other
  spans, or a second motif, what they fall short. A width counts as uncertain by how uneven floats happen to lie too.
  What the scene writes of either is not sought.
- Parameters: slack, differences of single yarns that cancel (where floats name their yarn), and logarithms of factors
  of stretch and bending stiffness, weight, gauge and row gauge. Before: slack 0 give or take 10 %, stiffness a factor
  of 2, and so on (``Prior``, all chosen).
- Solves: only ratios matter, so everything is divided by the stretch stiffness and each fabric is solved once. Fits use
  the endless repeat; one solve of the whole piece then tells how much looser its floats act (edges, weight, the inside
  of a tube) and how its pucker differs, and the fit is made again. A stretched part is a repeat under a dead load.
- Intervals are those of the normal distribution at the best fit (1.96 deviations: uncertainties are stated, not
  estimated from the scatter), unless the fit at an end isn't worse by what it should; then the end is looked for
  (profile). As slack 0 is a kink, fits start on both sides of it. *At least*: the measurements alone fit as well at 35
  % slack. *Not told*: the interval is more than 0.8 of what it was before; nothing of that is used.
- Which wins: a slack or stiffness written in the scene. A slack from the file brings its own interval; bending against
  stretch is never less sure than the usual factor of 2.
- ``python -m tests.recovery uneven`` knits whole swatches by known uneven hands and unpicks two dozen floats.
- ``python -m tests.recovery`` makes up 200 swatches, measures them with 2 % noise and counts how often the truth lies
  inside: with two widths, a stretched part and three floats the slack in 195, the stiffness in 192 (seed 0; 181 to 197
  would be chance), 2.8 s each. That verifies the fit; it validates nothing, as the swatches are the model's own. The
  swatch of ``scenes/`` with all that can be measured takes 42 s, with two widths 8 s.
"""
