// Not verified here: no Android SDK and no current Gradle are on the project's machines.
pluginManagement { repositories { google(); mavenCentral(); gradlePluginPortal() } }
dependencyResolutionManagement {
    repositories {
        google()
        mavenCentral()
        // Where `cargo tool package android` puts the library.
        maven(rootDir.resolve("../../target/bindings/packages/android"))
    }
}
rootProject.name = "fallaway-app"
include(":app")
