// What the app uses of Background Tasks, declared for type-checking on Linux. Each declaration follows the page of Apple's
// documentation that is named above it, below https://developer.apple.com/documentation/backgroundtasks/ (written down
// from memory; compare when one is changed). On Apple systems this target does not exist.

// bgtaskrequest, bgapprefreshtaskrequest/init(identifier:)
open class BGTaskRequest {}
open class BGAppRefreshTaskRequest: BGTaskRequest {
  public init(identifier: String) {}
}

// bgtaskscheduler/shared, bgtaskscheduler/submit(_:)
open class BGTaskScheduler {
  public class var shared: BGTaskScheduler { BGTaskScheduler() }
  public func submit(_ taskRequest: BGTaskRequest) throws {}
}
