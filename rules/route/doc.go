// Package route lays a cable of a given thickness the shortest way round boxes, at any angle, and tells how long it is
// once its bends are rounded; where no way exists it tells what is in the way.
//
// The centreline keeps half the cable's diameter from every box along each axis: the boxes are grown by it. That is exact
// on faces and a little too careful on edges and corners, so a length is never too short. The shortest way among boxes
// bends on box edges only. It is looked for over points on the edges, and each way found is pulled tight by sliding its
// points along their edges until they rest.
package route
