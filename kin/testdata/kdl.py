"""Answers, with Orocos KDL's Python binding, what kin's differential test asks.

Reads JSON lines {"rows": [[a, alpha, d, offset, prismatic], ...], "q": [6], "starts": [[6], ...]}
(mm, rad) and writes {"frames": [[12 numbers], ...], "jacobian": [[6 x 6]], "inverse": [[6], ...]}: the
pose of every link frame, the Jacobian at the last, and the solutions for the last frame's pose that the
Newton-Raphson solver reaches from the starts.
"""
import json
import sys

import PyKDL as kdl


def chain_of(rows, scale):
    chain = kdl.Chain()
    for a, alpha, d, offset, prismatic in rows:
        kind = kdl.Joint.TransZ if prismatic else kdl.Joint.RotZ
        frame = kdl.Frame.DH(a * scale, alpha, d * scale, offset)
        chain.addSegment(kdl.Segment("", kdl.Joint("", kind), frame))
    return chain


def array_of(q):
    out = kdl.JntArray(len(q))
    for i, x in enumerate(q):
        out[i] = x
    return out


for line in sys.stdin:
    ask = json.loads(line)
    chain = chain_of(ask["rows"], 1)
    q = array_of(ask["q"])
    forward = kdl.ChainFkSolverPos_recursive(chain)
    frames = []
    for n in range(1, 7):
        f = kdl.Frame()
        forward.JntToCart(q, f, n)
        frames.append([f.M[r, c] for r in range(3) for c in range(3)] + [f.p[i] for i in range(3)])
    jacobian = kdl.Jacobian(6)
    kdl.ChainJntToJacSolver(chain).JntToJac(q, jacobian)
    found = []
    if ask["starts"]:
        # In metres: the solver weighs mm and rad alike.
        chain = chain_of(ask["rows"], 1e-3)
        target = kdl.Frame()
        kdl.ChainFkSolverPos_recursive(chain).JntToCart(q, target)
        # The solvers keep references, so everything needs a name.
        position, velocity = kdl.ChainFkSolverPos_recursive(chain), kdl.ChainIkSolverVel_pinv(chain)
        solver = kdl.ChainIkSolverPos_NR(chain, position, velocity, 100, 1e-9)
        for start in ask["starts"]:
            answer = kdl.JntArray(6)
            if solver.CartToJnt(array_of(start), target, answer) == 0:
                found.append([answer[i] for i in range(6)])
    print(json.dumps({
        "frames": frames,
        "jacobian": [[jacobian[r, c] for c in range(6)] for r in range(6)],
        "inverse": found,
    }))
