"""Energies of arrays and their minimum; knows nothing of knitting.

A *term* (``terms.py``) is a set of elements with one *geometry* and one *law*. The geometry turns the spans of an
element (fixed combinations of its points, so linear in the unknowns) into one scalar measure s with exact first and
second derivatives; the law (``laws.py``) gives U(s), U', U''. The chain rule H = U'' s's'ᵀ + U' s'' is written once, by
the spans; what is left, from spans to points, is a constant sparse matrix. Beside the exact Hessian there is its
*material* part, U'' s's'ᵀ where U'' > 0: positive semi-definite wherever the fabric lies, for every energy, without a
word from it.

The normal of a stitch, (right - left) x (up - down), enters bends and float ends with its exact derivatives
(``vectors.Normal``). Float ends sit half a thickness behind the stitch along that normal; this eccentricity makes flat
fabric under tight floats no equilibrium, so pucker starts without a seed of noise.

``assemble.py`` sums the terms. Unknowns are the node positions and, in a periodic cell, its two sizes (two more places,
of one component each); held unknowns drop out. ``pattern.py`` finds the sparsity once, for pairs of places: a span
takes the same share of x, y and z of a point, so everything is 3 x 3 blocks, and one constant sparse matrix a term
leads the blocks of all its elements to the blocks that are stored. Where there is compiled code (``compiled.py``,
``in_c``), it does all of that element by element instead: a fifth of the time, and no matrix to be kept.

``bloch.py`` takes the Hessian of a periodic cell apart by the periods that its blocks reach over, and so knows how
stiff the endless sheet is to waves longer than the cell.

How a fabric comes to rest
--------------------------

The solver has three parts (``direction``, ``line_search`` and ``stopping``), put together in ``minimise``:

1. Direction. First, far from the answer, one step by the material part alone: the fabric draws in as springs would that
   carry no force yet (tight floats at plain fabric's width pull fifty times as hard as they will in the end, and a
   Hessian with those forces in it is of no use). From then on the Newton equation of the exact Hessian H, by conjugate
   gradients preconditioned with factors of a blend H + share (M - H), M the material part: the factors at hand as long
   as they serve, else new ones (``factors``): a sparse Cholesky in compiled code, or LAPACK's banded one without, which
   end at the first pivot that is not positive. So a blend that is not positive definite is found out at once, and its
   share of M raised. Close to rest that is the exact one's turn: its factors serve to the end and prove the minimum.
   All are in single precision, as a preconditioner need not be exact; in double only where, near rest, single can't
   tell whether they are definite. Where the iteration meets negative curvature of H the step goes boldly along it, half
   a stitch at first, twice as far each time that could be taken whole: without that, leaving a saddle takes dozens of
   steps.
2. Step length. Halving until the energy falls (Armijo) and the fabric passes nowhere through itself. Once energy
   differences drown in round-off the largest force decides instead; without that, Newton stalls a few digits short.
3. Stopping. At rest when no force exceeds 1e-9 of the force that doubles a stitch's width and H is positive definite.
   Kept factors can lead into a saddle, where no force is left either; then the step goes along negative curvature, to
   the side where the energy falls more. That H is definite is proven without factors of its own: conjugate gradients
   from a random force, while they meet positive curvature only, can't lessen what of that force lies along a direction
   of negative curvature (their residual polynomial is 1 at nought and grows below it), so once the whole residual has
   fallen to 1e-8 there is no such direction. Every other end has a named status with a sentence of its own.

``relax.py`` tries all slack at once and, if that ever fails, lets it in by 4 and then 16 parts. A start from the
equilibrium of a like fabric takes its pattern and its contacts along.

Where the time goes
-------------------

In shares of a solve, compiled (of a swatch of 100 x 100 stitches at slack -0.03, 3.2 s; a repeat of 24 x 24 let go at a
new slack, 0.07 s; pieces of a hat band, 96 x 19, that fold in 45 steps, 1.4 s each): factors 17, 10 and 20 %, conjugate
gradients 30, 15 and 27 %; the exact Hessian 23, 23 and 19 %, the material part 2 %; looking for contacts and making
their terms 11, 24 and 21 %; planning the fronts 7, 0 and 0 %. What is left is trying energies, setting up and telling.

What was tried and left
-----------------------

- scipy's sparse LU, by minimum degree: three to eight times as long as a band, for every fabric tried, though it does a
  fifth of the operations: it looks for its entries one by one. Fronts do them ten times as fast.
- Other orders for the fronts: nested dissection by coordinates fills up 1.2 to 2.3 times as much as minimum degree; by
  a graph partitioner 0.89 to 1.05 times, with 0.77 to 1.00 of the operations: a tenth of a solve at most, for another
  library. Floats couple columns seven apart, so separators are thick. Minimum degree on unknowns instead of stitches:
  a sixth less fill, of a graph with nine times as many entries.
- The positive parts of tension in the preconditioner (a *safe* Hessian): twice the factorisations of the material part
  alone, which is simpler.
- Softer floats first, then stiff ones: fewer steps on some, more on others. Hessians with the tensions foreseen by the
  last step instead of the actual ones: no fewer steps.
- Negative curvature with a trust radius that shrinks after a cut: as many steps as a fixed reach.
- Without contact first, contact after: three to seven times the steps, by way of shapes that then have to be undone.
- Middles of bars as places that push, too, instead of a look at the cells: it holds apart the one fabric known to need
  it (campaign seed 229), for a few hundredths more time, but promises nothing.
- Keeping the factors when contacts are added: a fifth quicker on large swatches, but a strip rolled up on itself then
  went through itself once.
- Pieces let go from another piece at rest with the exact Hessian from the first step, not the material part: one to six
  factorisations more each.
- Shorter ways through folds, on the pieces of a hat band that take 40 to 65 steps, because soft waves move by several
  thicknesses a step and what is stiff then stretches: putting a step that failed right by the factors at hand (never
  lower), a second-order bend of the step as geodesics have it (as many steps, and dearer), damping of the Newton
  equation that follows how steps went (twice as many).
- The same pieces by a quasi-Newton method (L-BFGS, 8 to 20 pairs) preconditioned by the factors at hand, up to 60 of
  its steps between Newton's: half of Newton's steps go, but its own, three to five times as many, cost as much as is
  saved. Newton steps drawn out to 1.5, 2, 4 .. of their length where the energy fell by more than was foreseen, as it
  does by a third in such folds: a tenth fewer steps, no less time.
- On 16 pieces of a hat band, 436 steps and 274 factorisations in all: steps along which bars turn and keep the length
  that was foreseen, found by one to six rounds of a local and a global part with a constant matrix (310 to 340 steps,
  but 260 to 300 factorisations, for such places are less definite, and no less time); the same drawn out as long as the
  energy falls; conjugate gradients that end at a radius which follows the steps taken (440, 250); negative curvature
  tried apart from the rest of its step (436, 262); factors kept after steps that were cut short (no fewer); pieces
  begun from a rest as tight as themselves (433: where they begin hardly counts); a third as many or thrice as many
  steps between shares of the material part (no change).
- All floats wrapped from the start: no quicker than those that nearly pull as soon as one has to be, and all that hang
  loose as well. Pieces brought to rest less exactly than the one that is shown: a thirtieth less time.
- Products with the Hessian by rows instead of by columns, which are the same numbers: no quicker but for a few hundred
  unknowns. How far stitches move beyond what all do by normal equations instead of singular values: no quicker, and
  other steps in the last digits.
- A new factorisation at every step: 185 instead of 75 over eight trial fabrics, to the same minima.
- One mesh of level rings for the tube: the last float of a round would then run uphill. The spiral has no seam, and
  shows the true jog where rounds join.
"""
