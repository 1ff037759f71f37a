"""A first look at fabricsim from Python, cell by cell. Every length is in metres, every force in newtons."""

# %% The scene: what the designer wrote. ``fabricsim.read_scene("my_hat.toml")`` reads your own.
import numpy as np

import fabricsim

scene = fabricsim.demo_scene()
print(scene)
print(f"{scene.gauge.stitches:g} stitches and {scene.gauge.rows:g} rounds to 10 cm")
print("yarns:", ", ".join(f"{yarn.name} ({yarn.symbol})" for yarn in scene.yarns))

# %% Its floats, all of the piece, as they are worked.
floats = fabricsim.floats(scene)
longest = max(floats, key=lambda one: one.gap)
print(f"{len(floats)} floats; the longest passes behind {longest.gap} stitches, {100 * longest.span:.1f} cm")
print(f"it is {scene.yarns[longest.yarn].name}, in round {longest.row + 1} of the piece")

# %% One repeat at rest. A notebook shows ``rest`` as a picture of its face.
rest = fabricsim.relax(scene, "repeat")
print(rest)

# %% What it measures.
found = fabricsim.measure(rest)
print(f"{found.widths.overall:.1%} narrower than without floats")
print(f"pucker from peak to valley: {1000 * found.pucker.peak_to_valley:.1f} mm")
print(f"{found.pull.taut} floats are taut; the hardest pulls with {100 * found.pull.greatest:.1f} cN")

# %% The same with other slacks: floats 8 % too short to 5 % longer than what they bridge.
for slack in (-0.08, -0.04, 0.0, 0.05):
    lost = fabricsim.measure(fabricsim.relax(scene, "repeat", slack=slack)).widths.overall
    print(f"slack {slack:+.0%}: {lost:.1%} narrower")

# %% Numbers are arrays, with names that say what they count: ``tension_f`` has one for each float.
row_f = rest.mesh.row_n[rest.mesh.floats.node_f2[:, 0]]
pull_i = np.bincount(row_f, rest.tension_f, minlength=rest.mesh.rows)
print(f"round {pull_i.argmax() + 1} of the chart is pulled together hardest: {100 * pull_i.max():.0f} cN in all")

# %% A picture of the back.
picture = fabricsim.draw(rest, "back", width_px=600, quality="draft")
picture.save("back.png")
