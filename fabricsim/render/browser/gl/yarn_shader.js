// The yarn as round tubes, made where it is drawn: a corner of a ring at a time.
import { ACROSS } from "./program.js";
import { PIECE, PLACES } from "./packing.js";

/** Most yarns whose colours a page holds. */
export const MOST_YARNS = 16;

export const YARN_VERTEX = `precision highp float; precision highp int; precision highp sampler2D;
layout(location = 0) in ivec4 piece;
uniform sampler2D points, looks, floats;
uniform mat4 clip, model;
uniform int sides;
uniform vec3 dye[${MOST_YARNS}];
uniform float thick, plies, flat_, towards;
uniform sampler2D moves;
out vec3 out_, colour;
out vec2 round_;
out float open_, glow, facing_;

vec4 at(sampler2D from, int k) { return texelFetch(from, ivec2(k % ${ACROSS}, k / ${ACROSS}), 0); }

void main() {
    int ring = gl_VertexID / (sides + 1), side = gl_VertexID % (sides + 1);
    int step_ = ring - 1;
    float wide = 1.0;
    if (step_ < 0) { step_ = 0; if (piece.w == 1) wide = 0.0; }
    int p = piece.x + step_;
    bool over = step_ > ${PIECE};
    if (over && p - 1 < piece.y) p = piece.x + ${PIECE};
    if (p >= piece.y) { if (p - 1 >= piece.y) wide = 0.0; p = piece.y; }
    int k = p * ${PLACES};
    vec4 a = at(points, k), b = at(points, k + 1), c = at(points, k + 2), d = at(points, k + 3);
    float angle = 6.2831853 * float(side) / float(sides);
    vec3 normal = normalize(b.xyz - dot(b.xyz, c.xyz) * c.xyz);
    vec3 ray = cos(angle) * normal + sin(angle) * cross(c.xyz, normal), bulge = vec3(0);
    float corner = 1.0;
    if (sides == 1) {
        // a ribbon across the line of sight, lit as if it were round
        vec3 eye = towards * vec3(model[0].z, model[1].z, model[2].z);
        ray = normalize(cross(c.xyz, eye) + 1e-4 * normal) * (side == 0 ? -1.0 : 1.0);
        bulge = 0.8 * eye - 0.2 * ray;
    } else {
        // as wide as makes the polygon as large as the circle of the yarn
        corner = sqrt(6.2831853 / (float(sides) * sin(6.2831853 / float(sides))));
    }
    int stitch = int(b.w);
    vec3 where = a.xyz + corner * a.w * wide * ray + flat_ * at(moves, stitch).xyz;
    out_ = wide > 0.0 ? mat3(model) * (ray + bulge) : mat3(model) * c.xyz * (step_ == 0 ? -1.0 : 1.0);
    vec4 look = at(looks, stitch);
    int mine = int(look.x * 255.0 + 0.5);
    int float_ = int(c.w + (c.w < 0.0 ? -0.5 : 0.5));
    colour = dye[float_ < 0 && mine < ${MOST_YARNS} ? mine : piece.z];
    glow = look.y;
    if (float_ >= 0) {
        vec4 pull = at(floats, float_);
        if (pull.w > 0.2) colour = pull.xyz * pull.xyz;
        glow = pull.w > 0.7 || (pull.w > 0.02 && pull.w < 0.15) ? 1.0 : look.y * 0.4;
    }
    float facing = dot(vec2(model[0].z, model[2].z), d.zw);
    facing_ = facing;
    open_ = smoothstep(-0.75, 0.65, d.y * sign(facing) * towards / thick);
    round_ = vec2(angle / 6.2831853 * plies, d.x / (3.1 * thick) * plies);
    gl_Position = clip * vec4(where, 1.0);
}`;

export const YARN_FRAGMENT = `precision highp float;
in vec3 out_, colour;
in vec2 round_;
in float open_, glow, facing_;
uniform vec3 ring;
uniform float towards, ply, fade, half_;
uniform vec3 light, glowing;
out vec4 seen;

void main() {
    if (ring.z > 0.0 && distance(gl_FragCoord.xy, ring.xy) > ring.z) discard;
    if (facing_ * half_ < 0.0) discard;
    vec3 n = normalize(out_) * towards;
    float twist = 1.0;
    if (ply > 0.0) {
        float turn = round_.x + round_.y;
        float wide = fwidth(turn);
        float groove = abs(2.0 * fract(turn) - 1.0);
        float fibre = 0.5 + 0.5 * sin(38.0 * round_.y - 9.0 * round_.x);
        twist = mix(1.0, mix(0.66, 1.06, smoothstep(0.0, 0.55, groove)) * mix(0.95, 1.03, fibre), ply * clamp(1.0 - 2.2 * wide, 0.0, 1.0));
    }
    float key = max(dot(n, light), 0.0);
    float sky = 0.5 + 0.5 * dot(n, normalize(vec3(-0.1, 0.75, 0.65)));
    float rim = pow(1.0 - max(n.z, 0.0), 3.0) * 0.10;
    float shade = mix(0.30, 1.0, open_);
    vec3 lit = colour * (0.30 * sky + 0.10 + 0.84 * key * mix(0.55, 1.0, open_)) * shade * twist + colour * rim * shade;
    lit = mix(lit, glowing * (0.35 + 0.65 * key), 0.55 * glow);
    seen = vec4(pow(clamp(lit, 0.0, 1.0), vec3(1.0 / 2.2)), fade);
}`;
