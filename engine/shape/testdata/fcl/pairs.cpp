// Signed distances of pairs of solids by FCL, the Flexible Collision Library.
// Each line of the input holds two shapes of 17 numbers: kind (0 capsule, 1 box,
// 2 cylinder, 3 sphere), radius, the three full edge lengths (for a capsule and
// a cylinder the last is its length), the rotation by rows, the position. Each
// line of the output holds one signed distance, mm, or "error" where FCL gives up.
#include <fcl/fcl.h>

#include <cstdio>
#include <memory>

using namespace fcl;

static bool readObject(std::unique_ptr<CollisionObjectd>& out) {
  double v[17];
  for (double& x : v) {
    if (std::scanf("%lf", &x) != 1) return false;
  }
  std::shared_ptr<CollisionGeometryd> g;
  switch (static_cast<int>(v[0])) {
    case 0: g = std::make_shared<Capsuled>(v[1], v[4]); break;
    case 1: g = std::make_shared<Boxd>(v[2], v[3], v[4]); break;
    case 2: g = std::make_shared<Cylinderd>(v[1], v[4]); break;
    default: g = std::make_shared<Sphered>(v[1]); break;
  }
  Transform3d at = Transform3d::Identity();
  for (int i = 0; i < 3; i++) {
    for (int j = 0; j < 3; j++) at.linear()(i, j) = v[5 + 3 * i + j];
    at.translation()(i) = v[14 + i];
  }
  out.reset(new CollisionObjectd(g, at));
  return true;
}

int main() {
  std::unique_ptr<CollisionObjectd> a, b;
  while (readObject(a) && readObject(b)) {
    DistanceRequestd request;
    request.enable_signed_distance = true;
    request.enable_nearest_points = true;
    request.distance_tolerance = 1e-6;
    request.gjk_solver_type = GST_LIBCCD;
    DistanceResultd result;
    try {
      std::printf("%.17g\n", distance(a.get(), b.get(), request, result));
    } catch (const std::exception&) {
      std::printf("error\n");
    }
  }
}
