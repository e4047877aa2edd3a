import Fallaway
import Foundation
import Testing

@Test func aWorkshopOpensAndShutsDown() throws {
  let workshop = try Workshop.inMemory(label: "tech")
  let bass = try workshop.addInstrument(template: "bass-4", name: "walnut bass")
  #expect(try bass.name() == "walnut bass")
  try workshop.shutDown()
  #expect(throws: FallawayError.Closed) { try bass.name() }
}

@Test func awaitedCallsAnswerTheSame() async throws {
  let workshop = try await Workshop.inMemory(label: "tech")
  let bass = try await workshop.addInstrument(template: "bass-4", name: "walnut bass")
  let plan = try await bass.plan()
  #expect(!plan.steps.isEmpty)
}
