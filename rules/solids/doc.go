// Package solids gives parts their boxes: matter, room for mated plugs, room that
// air needs. They come from a part's published figures and from its form factor's
// standard, or from boxes that the part brings itself.
//
// Every part has a frame of its own, with Y completing the right hand (Z x X):
//
//	part                  origin                             X                        Y                     Z
//	board                 rear corner at the end of the      along the rear edge,     away from the         from the underside to
//	                      rear connectors, underside         to the slots             rear edge             the components
//	supply                lower left corner of the inlet's   its width                away from the inlet   its height; its fan
//	                      face, seen from outside                                                           looks down
//	card, rigid riser     lower corner of its back, inner    its thickness, to the    its length            away from the slot
//	                      face of the bracket                fans
//	row of fans, radiator first corner of the frame, on      along the row            across                from the plate into
//	                      the plate                                                                         the enclosure
//	drive                 corner of its underside            its length               its width             its height
//	cooler, block         the socket's centre, on top of     as the board's X         as the board's Y      away from the board
//	                      the processor's lid
//	anything else         where its own boxes say
//
// Boxes of a part's own (Part.bodies) stand in the same frame and replace those
// from figures; only the plugs of its power sockets are still added.
//
// How far a figure may be off becomes the deviation of the face that it moves:
// the face at a part's origin is exact, the one opposite takes the figure's
// tolerance; what is centred gives half of it to either side.
//
// The package knows geometry and standards, and nothing of rules or verdicts.
// All lengths are millimetres.
package solids
